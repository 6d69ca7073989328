import type { Estimate } from '../numerics/estimate.ts';
import { normalShareBelow } from '../numerics/normal_distribution.ts';
import { median } from '../numerics/robust.ts';

/** An angle brought into (-180, 180] degrees. */
export function wrapDegrees(angle: number): number {
  const turned = ((angle % 360) + 360) % 360;
  return turned > 180 ? turned - 360 : turned;
}

/**
 * The rings' own common line: the median of their rolls on the circle, which one or two rolled rings do not pull along,
 * with its standard uncertainty. Which ring is the middle one may itself be in doubt: where rings are set unevenly, one
 * that is badly read may belong to the other side, and the median then jumps to its neighbour. One ring has no line to
 * be compared with: undefined below two.
 *
 * @param rolls degrees about the axis, any common zero
 */
export function commonRoll(rolls: readonly Estimate[]): Estimate | undefined {
  const zero = commonLine(rolls);
  return zero === undefined ? undefined : { value: zero, u: Math.sqrt(medianMoments(rollsFrom(zero, rolls)).square) };
}

/** The line itself, degrees. */
export function commonLine(rolls: readonly Estimate[]): number | undefined {
  if (rolls.length < 2) return undefined;
  const spreadAbout = (centre: number) => rolls.reduce((sum, r) => sum + Math.abs(wrapDegrees(r.value - centre)), 0);
  const anchor = rolls.reduce((a, b) => (spreadAbout(b.value) < spreadAbout(a.value) ? b : a)).value;
  const middle = median(rolls.map((r) => wrapDegrees(r.value - anchor)));
  return wrapDegrees(anchor + middle);
}

/**
 * Standard uncertainty of each roll less the line that they make together (`line`, by commonRoll), in the order they
 * come in, degrees: the line follows each of the rings it is made of, the middle ones most.
 */
export function doubtFromCommonRoll(rolls: readonly Estimate[], line: Estimate): number[] {
  const readings = rollsFrom(line.value, rolls);
  return readings.map((_, i) => doubtFromMedian(readings, i));
}

const rollsFrom = (zero: number, rolls: readonly Estimate[]): Estimate[] =>
  rolls.map(({ value, u }) => ({ value: wrapDegrees(value - zero), u: Math.max(u, certain) }));

/** The least doubt that a reading's distribution is looked at with, degrees. */
const certain = 1e-6;

/**
 * Where each reading's distribution is looked at, in its standard deviations; each a little beside the last one's, so
 * that like readings are looked at in between.
 */
const looksApart = 0.4;
const looks = Array.from({ length: 25 }, (_, i) => looksApart * (i - 12));

/**
 * Mean and mean square of the median of normal values, by the distribution of their middle order statistics: at least k
 * of them lie below x with the chance that so many of unequal trials succeed (Poisson's binomial). Of an even number
 * the mean of the middle two, the gap between them counted as its mean: a little too much rather than too little.
 */
function medianMoments(readings: readonly Estimate[]): Moments {
  const places = Float64Array.from(
    readings.flatMap(({ value, u }, i) => looks.map((z) => value + (z + looksApart * ((0.618 * i) % 1)) * u)),
  ).sort();
  const chances = Array.from(places, (x) =>
    belowAtLeast(readings.map(({ value, u }) => normalShareBelow((x - value) / u))),
  );
  const n = readings.length;
  const of = (k: number) => momentsOf(places, (i) => chances[i]![k]!);
  const [lower, upper] = [of((n + 1) >> 1), of((n >> 1) + 1)];
  const halfGap = (upper.mean - lower.mean) / 2;
  return { mean: (lower.mean + upper.mean) / 2, square: (lower.square + upper.square) / 2 - halfGap ** 2 };
}

/** Five looks at a standard normal value: Gauss and Hermite's nodes and weights (Abramowitz and Stegun, 25.4.46). */
const fiveLooks = [
  [-2.8569700138728, 0.0112574113277],
  [-1.3556261799743, 0.2220759220056],
  [0, 0.5333333333333],
  [1.3556261799743, 0.2220759220056],
  [2.8569700138728, 0.0112574113277],
] as const;

/** Root mean square error of one reading less the median of all, which it is a part of. */
function doubtFromMedian(readings: readonly Estimate[], own: number): number {
  const { value, u } = readings[own]!;
  const square = fiveLooks.reduce((sum, [z, weight]) => {
    const median = medianMoments(readings.map((r, i) => (i === own ? { value: value + z * u, u: certain } : r)));
    return sum + weight * ((z * u) ** 2 - 2 * z * u * median.mean + median.square);
  }, 0);
  return Math.sqrt(Math.max(square, 0));
}

interface Moments {
  mean: number;
  square: number;
}

/** The chance that at least k of independent trials succeed, for each k from 0 on. */
function belowAtLeast(shares: readonly number[]): Float64Array {
  const chances = new Float64Array(shares.length + 2);
  chances[0] = 1;
  for (const [i, share] of shares.entries()) {
    for (let k = i + 1; k > 0; k--) chances[k] = chances[k]! * (1 - share) + chances[k - 1]! * share;
    chances[0]! *= 1 - share;
  }
  for (let k = shares.length; k >= 0; k--) chances[k]! += chances[k + 1]!;
  return chances;
}

/** Mean and mean square of what lies below `places[i]` with the chance `below(i)`: both as integrals over the tails. */
function momentsOf(places: Float64Array, below: (i: number) => number): Moments {
  // All of it lies within the places; from 0 to the first or from the last to 0 the chance is one.
  const [first, last] = [places[0]!, places[places.length - 1]!];
  let [mean, square] = [Math.max(first, 0) + Math.min(last, 0), Math.max(first, 0) ** 2 + Math.min(last, 0) ** 2];
  for (let i = 1; i < places.length; i++) {
    const [a, b] = [places[i - 1]!, places[i]!];
    const share = (below(i - 1) + below(i)) / 2;
    const [right, left] = [Math.max(b, 0) - Math.max(a, 0), Math.min(b, 0) - Math.min(a, 0)];
    mean += (1 - share) * right - share * left;
    square += (1 - share) * (Math.max(b, 0) ** 2 - Math.max(a, 0) ** 2);
    square += share * (Math.min(a, 0) ** 2 - Math.min(b, 0) ** 2);
  }
  return { mean, square };
}
