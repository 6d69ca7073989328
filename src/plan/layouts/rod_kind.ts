import { InputError } from '../input_error.ts';
import { longestRod } from '../files/longest_rod.ts';

/** What a rod is built for, as far as its guides go. */
export type RodKind = 'spinning' | 'casting' | 'fly';
export const rodKinds: readonly RodKind[] = ['spinning', 'casting', 'fly'];

/** How many guides a rod of a kind takes, and where the first and last go; each number can be changed. */
export interface KindPractice {
  /** guides for each foot of rod, and how many beside; the tip-top is not counted */
  guidesPerFoot: number;
  guidesMore: number;
  /** from the tip to the first guide, mm */
  firstGap: number;
  /** the last guide's place, as a share of the way from the tip to the reel */
  lastShare: number;
}

/** Where each kind starts from; common practice, no source. */
export const usualPractice: Readonly<Record<RodKind, KindPractice>> = {
  spinning: { guidesPerFoot: 1, guidesMore: 1, firstGap: 100, lastShare: 0.72 },
  casting: { guidesPerFoot: 1, guidesMore: 2, firstGap: 90, lastShare: 0.73 },
  fly: { guidesPerFoot: 1, guidesMore: 1, firstGap: 110, lastShare: 0.73 },
};

const millimetresPerFoot = 304.8;

export interface SuggestedGuides {
  guides: number;
  /** from the tip, mm */
  first: number;
  last: number;
}

/**
 * How many guides, and where the first and last go, on a rod of `length` mm with its reel at `reelAt` mm from the tip.
 * Throws InputError where the numbers leave no room for that.
 */
export function suggestGuides(
  { guidesPerFoot, guidesMore, firstGap, lastShare }: KindPractice,
  { length, reelAt }: { length: number; reelAt: number },
): SuggestedGuides {
  if (!(length > 0 && length <= longestRod)) throw new InputError('The length of the blank is missing; give it.');
  const guides = Math.max(1, Math.round((guidesPerFoot * length) / millimetresPerFoot + guidesMore));
  const last = lastShare * reelAt;
  if (!(last > firstGap * guides))
    throw new InputError(
      `By these rules ${guides} guides would have to stand between ${firstGap.toFixed(0)} mm and ${last.toFixed(0)} mm from the tip, closer than the first gap; take fewer guides or a shorter first gap.`,
    );
  return { guides, first: firstGap, last };
}

/** Where the reel sits where nothing is said: a fly reel at the butt; for the others the middle of the reel seat. */
export function usualReelPlace(
  kind: RodKind,
  butt: number,
  fittings: readonly { kind: string; from: number; to: number }[] = [],
): number | undefined {
  const seat = fittings.find((fitting) => fitting.kind === 'reel-seat');
  if (kind === 'fly') return butt;
  return seat && (seat.from + seat.to) / 2;
}

const counts = (n: number) => (n === 1 ? 'one guide' : `${n} guides`);

/** The rule in words, as it is to be said beside what follows from it. */
export function practiceWords(kind: RodKind, practice: KindPractice, length: (mm: number) => string): string {
  const beside = practice.guidesMore === 0 ? '' : ` and ${practice.guidesMore} more`;
  return (
    `A ${kind} rod by common practice, no source: ${counts(practice.guidesPerFoot)} for each foot of rod${beside}, ` +
    `the first ${length(practice.firstGap)} from the tip, the last at ${Math.round(100 * practice.lastShare)} % of the way from tip to reel.`
  );
}
