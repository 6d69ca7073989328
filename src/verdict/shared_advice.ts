import { coveredOver, settling } from './advice.ts';
import { photoAskedFor } from './next_photo_words.ts';
import type { ReportItem } from './report.ts';
import { sightingOf } from './sighting.ts';
import { listText } from './wording.ts';

/** One thing to do, for one place or for several. */
export interface SharedAdvice {
  /** in the order of the rod; at least one */
  items: readonly ReportItem[];
  /** absent where its one item carries no advice */
  sentence?: string;
}

/** What several places have in common, and how it is said for all of them. */
interface Shared {
  key: string;
  say: (ids: readonly string[]) => string;
}

/**
 * Advice that is the same for several places, said once for all of them at the first; what holds for one place alone
 * stays as its report says it.
 */
export function sharedAdvice(items: readonly ReportItem[]): SharedAdvice[] {
  const groups = new Map<string, { items: ReportItem[]; shared: Shared | undefined }>();
  for (const item of items) {
    const shared = sharedBy(item);
    const key = shared?.key ?? `only ${item.id}`;
    const group = groups.get(key);
    if (group) group.items.push(item);
    else groups.set(key, { items: [item], shared });
  }
  return [...groups.values()].map(({ items: of, shared }) => {
    const sentence = of.length > 1 ? shared?.say(of.map(({ id }) => id)) : of[0]!.advice;
    return sentence === undefined ? { items: of } : { items: of, sentence };
  });
}

function sharedBy(item: ReportItem): Shared | undefined {
  const { id, advice } = item;
  if (advice === undefined) return undefined;
  const sighting = sightingOf(item);
  if (item.coveredIn) return { key: 'covered', say: coveredOver };
  if (sighting === 'not-made-out') {
    const pointable = advice.includes('point it out');
    return { key: `${sighting} ${pointable}`, say: (ids) => notMadeOut(ids, pointable) };
  }
  if (sighting === 'in-no-photo')
    return { key: sighting, say: (ids) => `No photo shows ${listText(ids)}: one more photo over each.` };
  const same = Object.entries(settling).find(([, say]) => say([id]) === advice);
  if (same) return { key: same[0], say: same[1] };
  const asked = photoAskedFor(advice);
  if (asked) return { key: asked.photo, say: asked.say };
  // word for word the same, as where the roll has nothing to be measured against
  return { key: `says ${advice}`, say: () => advice };
}

const notMadeOut = (ids: readonly string[], pointable: boolean): string =>
  `I cannot make out ${listText(ids)}, though the photos show their places: ${pointable ? 'point them out, or ' : ''}one closer photo of each.`;
