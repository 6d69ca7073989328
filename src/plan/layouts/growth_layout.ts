import { InputError } from '../input_error.ts';

/**
 * Guides whose gaps grow from tip to butt, each by the same length (`arithmetic`: `step`, mm) or by the same factor
 * (`geometric`: `ratio`). Gaps run from `start` (mm from the tip; 0, the tip itself, when absent): first gap start ->
 * G1, next G1 -> G2, and so on. Two of first gap, last position and growth are given; the third follows.
 */
export interface GrowthCase {
  growth: 'arithmetic' | 'geometric';
  guides: number;
  start?: number;
  firstGap?: number;
  /** position of the last guide, mm from the tip */
  last?: number;
  step?: number;
  ratio?: number;
}

export interface GrowthLayout {
  at: number[];
  firstGap: number;
  /** mm for arithmetic, a factor for geometric growth */
  growth: number;
}

/** Sum of 1 + r + ... + r^(n - 1), without loss near r = 1. */
function geometricSum(ratio: number, n: number): number {
  let sum = 0;
  for (let k = 0; k < n; k++) sum = sum * ratio + 1;
  return sum;
}

/** The ratio whose sum of n powers is `sum`: bisection to the last bit; the sum rises with the ratio. */
function ratioFor(sum: number, n: number): number {
  let [low, high] = [0, 1];
  while (geometricSum(high, n) < sum) high *= 2;
  for (;;) {
    const middle = (low + high) / 2;
    if (middle <= low || middle >= high) return middle;
    if (geometricSum(middle, n) < sum) low = middle;
    else high = middle;
  }
}

/**
 * Solves the progression: arithmetic gaps a, a + d, a + 2d, ... sum to n a + d n (n - 1) / 2; geometric ones to
 * a (r^n - 1) / (r - 1). Positions in mm from the tip, unrounded. Throws InputError where the numbers contradict.
 */
export function layOutByGrowth(layout: GrowthCase): GrowthLayout {
  const { growth, guides: n, firstGap, last } = layout;
  const start = layout.start ?? 0;
  const rate = growth === 'arithmetic' ? layout.step : layout.ratio;
  const rateName = growth === 'arithmetic' ? 'step' : 'ratio';
  if (!Number.isInteger(n) || n < 1 || n > 100)
    throw new InputError('The number of guides must be a whole number from 1 to 100.');
  if ([firstGap, last, rate].filter((value) => value !== undefined).length !== 2) {
    throw new InputError(`Give two of first gap, last position and ${rateName}; the third follows from them.`);
  }
  const other = growth === 'arithmetic' ? 'ratio' : 'step';
  if (layout[other] !== undefined) {
    throw new InputError(
      `"${other}" has no place beside ${growth} growth, which goes by "${rateName}"; leave one out.`,
    );
  }
  if (firstGap !== undefined && !(firstGap > 0)) throw new InputError('The first gap must be above 0.');
  if (growth === 'geometric' && rate !== undefined && !(rate > 0)) throw new InputError('The ratio must be above 0.');
  const length = last === undefined ? undefined : last - start;
  if (length !== undefined && !(length > 0)) throw new InputError('The last position must lie beyond the start.');
  if (n === 1 && firstGap !== undefined && length !== undefined && Math.abs(firstGap - length) > 1e-6) {
    throw new InputError(
      'With one guide the first gap is the last position; give one of them and a growth, or take more guides.',
    );
  }
  const solved = solve(growth, n, firstGap, length, rate);
  const at: number[] = [];
  let place = start;
  let gap = solved.firstGap;
  for (let k = 0; k < n; k++) {
    if (!(gap > 0)) {
      throw new InputError(
        `The gap before guide ${k + 1} would be ${gap.toFixed(1)} mm; take a shorter first gap or a later last position.`,
      );
    }
    place += gap;
    at.push(place);
    gap = growth === 'arithmetic' ? gap + solved.growth : gap * solved.growth;
  }
  return { at, ...solved };
}

function solve(growth: GrowthCase['growth'], n: number, firstGap?: number, length?: number, rate?: number) {
  if (growth === 'arithmetic') {
    const pairs = (n * (n - 1)) / 2;
    if (firstGap === undefined) return { firstGap: (length! - pairs * rate!) / n, growth: rate! };
    return { firstGap, growth: rate ?? (n === 1 ? 0 : (length! - n * firstGap) / pairs) };
  }
  if (firstGap === undefined) return { firstGap: length! / geometricSum(rate!, n), growth: rate! };
  if (rate === undefined && n > 1 && !(length! > firstGap)) {
    throw new InputError('The last position must lie beyond the first gap; check both.');
  }
  return { firstGap, growth: rate ?? (n === 1 ? 1 : ratioFor(length! / firstGap, n)) };
}
