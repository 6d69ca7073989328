import type { ShownEvidence } from '../../store/build.ts';

/** A stretch of arc length, mm from the tip end of what lies on the mat. */
export interface Shown {
  from: number;
  to: number;
}

/** Where outlines are seen as near to the tip as this, the tip shows as well, mm. */
const nearTip = 20;

/**
 * The stretches of the rod that photos show, joined where they meet, from tip to butt; where its tip shows, with the
 * paper beyond.
 */
export function stretchesShown({ photos, ribbon }: Pick<ShownEvidence, 'photos' | 'ribbon'>): Shown[] {
  const joined: Shown[] = [];
  for (const { from, to } of photos.flatMap(({ covers }) => covers ?? []).toSorted((a, b) => a.from - b.from)) {
    const last = joined.at(-1);
    if (last && from <= last.to) last.to = Math.max(last.to, to);
    else joined.push({ from, to });
  }
  const first = joined[0];
  if (first && ribbon && first.from < nearTip) first.from = Math.min(first.from, ribbon.from);
  return joined;
}
