/**
 * Moves labels apart along one line so that none is nearer than `gap` to the next, as little as it takes; keeps order.
 */
export function spreadLabels(wanted: readonly number[], gap: number, from: number, to: number): number[] {
  const order = wanted.map((at, index) => ({ at, index })).toSorted((a, b) => a.at - b.at);
  const placed: number[] = [];
  for (const { at } of order) placed.push(Math.max(at, (placed.at(-1) ?? -Infinity) + gap, from));
  for (let i = placed.length - 1, limit = to; i >= 0; i--) {
    placed[i] = Math.min(placed[i]!, limit);
    limit = placed[i]! - gap;
  }
  const result: number[] = [];
  for (const [i, { index }] of order.entries()) result[index] = placed[i]!;
  return result;
}
