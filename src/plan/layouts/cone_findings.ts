import { shownName } from '../shown_name.ts';
import { type Finding, lengthWords, ringWords } from '../findings/finding.ts';
import type { LengthDisplay } from '../lengths/length_text.ts';
import { coneAt, placeOnCone, type SpoolCase } from './line_cone.ts';

/** A guide's opening and where it stands, mm. */
export interface StandingRing {
  id: string;
  at: number;
  ringInner: number;
  height: number;
}

/** A ring may stand this far in the cone before it is said: what its height is measured to, mm. */
const slack = 0.5;

/**
 * Rings between the choke and the spool that stand in the way of the cone of line: narrower than the cone where they
 * stand, or higher or lower than its middle by more than their bore leaves. The cone is common practice, no source.
 */
export function coneFindings(spool: SpoolCase, rings: readonly StandingRing[], display: LengthDisplay): Finding[] {
  const words = (mm: number) => lengthWords(mm, display);
  const places = placeOnCone(spool, rings);
  return rings.flatMap((ring, k): Finding[] => {
    const cone = coneAt(spool, ring.at);
    const by = Math.abs(cone.height - ring.height) + (cone.diameter - ring.ringInner) / 2;
    if (by <= slack) return [];
    const narrow = ring.ringInner < cone.diameter;
    const side = ring.height > cone.height ? 'above' : 'below';
    const clears = places[k]!.byHeight;
    return [
      {
        rule: 'line-cone',
        weight: 'look',
        items: [ring.id],
        by,
        text: narrow
          ? `${shownName(ring.id)} has a bore of ${ringWords(ring.ringInner)} where the cone of line from the spool is ${ringWords(cone.diameter)} wide, so the line would strike its ring.`
          : `${shownName(ring.id)} stands ${words(Math.abs(cone.height - ring.height))} ${side} the middle of the cone of line from the spool, so the line would strike its ring.`,
        cure: `There the cone wants a bore of ${ringWords(cone.diameter)} at a height of ${words(cone.height)}${
          clears ? `; this ring clears it from ${words(clears.at)} toward the tip` : ''
        }. Take such a ring, a smaller spool, or a guide nearer the reel for the cone's end.`,
      },
    ];
  });
}
