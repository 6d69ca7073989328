/**
 * Positions whose gaps never shrink from tip to butt, nearest to the given ones: the gaps' closest non-decreasing row
 * by least squares (pool adjacent violators; Ayer, Brunk, Ewing, Reid and Silverman 1955), which keeps their sum and so
 * the last position. A first position that is held stays too, and no gap is then shorter than it, as far as the room
 * goes. Returns the positions as given where no gap shrinks.
 */
export function withGrowingGaps(at: readonly number[], firstHeld: boolean): number[] {
  const gaps = at.map((place, k) => place - (k === 0 ? 0 : at[k - 1]!));
  if (gaps.every((gap, k) => k === 0 || gap >= gaps[k - 1]! - leastShrink)) return [...at];
  if (!firstHeld) return placesOf(nonDecreasing(gaps));
  const rest = nonDecreasing(gaps.slice(1));
  return placesOf([gaps[0]!, ...raisedTo(rest, Math.min(gaps[0]!, mean(rest)))]);
}

/** A gap that shrinks by less than this is no shrinking, mm. */
export const leastShrink = 0.01;

const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

function placesOf(gaps: readonly number[]): number[] {
  let place = 0;
  return gaps.map((gap) => (place += gap));
}

function nonDecreasing(values: readonly number[]): number[] {
  const blocks: { sum: number; count: number }[] = [];
  for (const value of values) {
    blocks.push({ sum: value, count: 1 });
    for (;;) {
      const [before, last] = blocks.slice(-2);
      if (!last || !before || before.sum / before.count <= last.sum / last.count) break;
      blocks.splice(-2, 2, { sum: before.sum + last.sum, count: before.count + last.count });
    }
  }
  return blocks.flatMap(({ sum, count }) => Array.from({ length: count }, () => sum / count));
}

/** The row lifted to a floor no higher than its mean, the rest shifted down alike so that the sum stays. */
function raisedTo(values: readonly number[], floor: number): number[] {
  const total = values.reduce((sum, value) => sum + value, 0);
  // the first `low` values lie on the floor; the others share what that takes
  for (let low = 0; low < values.length; low++) {
    const upper = values.slice(low);
    const shift = (total - low * floor - upper.reduce((sum, value) => sum + value, 0)) / upper.length;
    if (upper[0]! + shift >= floor - 1e-12) return values.map((value, k) => (k < low ? floor : value + shift));
  }
  return values.map(() => floor);
}
