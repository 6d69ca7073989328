import fc from 'fast-check';
import { expect, test } from 'vitest';
import { spreadLabels } from '../../src/app/kit/spread_labels.ts';

test('labels keep their distance, their order and the room they are given', () => {
  fc.assert(
    fc.property(fc.array(fc.double({ min: 0, max: 300, noNaN: true }), { maxLength: 12 }), (wanted) => {
      const placed = spreadLabels(wanted, 20, 0, 300);
      const pairs = wanted.map((at, i) => ({ at, put: placed[i]! })).toSorted((a, b) => a.put - b.put);
      for (const [i, pair] of pairs.slice(1).entries()) {
        expect(pair.put - pairs[i]!.put).toBeGreaterThanOrEqual(20 - 1e-9);
        expect(pair.at).toBeGreaterThanOrEqual(pairs[i]!.at);
      }
      for (const put of placed) {
        expect(put).toBeGreaterThanOrEqual(-1e-9);
        expect(put).toBeLessThanOrEqual(300 + 1e-9);
      }
    }),
  );
});

test('labels that stand apart stay where they are', () => {
  expect(spreadLabels([10, 90, 50], 20, 0, 100)).toEqual([10, 90, 50]);
});
