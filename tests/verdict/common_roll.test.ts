import fc from 'fast-check';
import { expect, test } from 'vitest';
import { commonLine, commonRoll, doubtFromCommonRoll, wrapDegrees } from '../../src/verdict/common_roll.ts';
import { seededNormal } from '../world/seeded_random.ts';

const rolls = (...values: number[]) => values.map((value) => ({ value, u: 0.2 }));

test('the median of the rings, whatever one of them does', () => {
  expect(commonRoll(rolls(2.5, 2.6, 2.4, 7.6, 2.5))?.value).toBeCloseTo(2.5, 9);
  expect(commonRoll(rolls(2, 3))?.value).toBeCloseTo(2.5, 9);
  expect(commonLine(rolls(2, 3))).toBe(commonRoll(rolls(2, 3))?.value);
  expect(commonRoll(rolls(4))).toBeUndefined();
  expect(commonRoll([])).toBeUndefined();
});
test('turning the whole rod turns the line with it, also across the half turn', () => {
  const angle = fc.double({ min: -10, max: 10, noNaN: true });
  fc.assert(
    fc.property(
      fc.array(angle, { minLength: 2, maxLength: 12 }),
      fc.double({ min: -360, max: 360, noNaN: true }),
      (list, turn) => {
        const still = commonRoll(rolls(...list))!;
        const turned = commonRoll(rolls(...list.map((v) => wrapDegrees(v + turn))))!;
        expect(Math.abs(wrapDegrees(turned.value - turn - still.value))).toBeLessThan(1e-9);
        expect(turned.u).toBeCloseTo(still.u, 12);
      },
    ),
  );
});
test('its uncertainty covers the scatter of a median (seeded simulation)', () => {
  const normal = seededNormal(4);
  let sum = 0;
  for (let k = 0; k < 4000; k++)
    sum += commonLine(Array.from({ length: 7 }, () => ({ value: 0.2 * normal(), u: 0.2 })))! ** 2;
  const stated = commonRoll(rolls(0, 0, 0, 0, 0, 0, 0))!.u;
  expect(Math.sqrt(sum / 4000) / stated).toBeGreaterThan(0.9);
  expect(Math.sqrt(sum / 4000) / stated).toBeLessThan(1.02);
});
test.each([
  [[0.2, 0.2, 0.2, 0.3, 3, 4, 6]],
  [[0.1, 5, 5, 5, 5, 5]],
  [[0.1, 0.1, 0.1, 8, 8]],
  [[0.3, 0.5, 0.8, 1.2, 2, 3, 5, 8]],
])('the same where some rings are read far worse than others (%s)', (doubts) => {
  const normal = seededNormal(9);
  let sum = 0;
  for (let k = 0; k < 4000; k++) sum += commonLine(doubts.map((u) => ({ value: u * normal(), u })))! ** 2;
  const stated = commonRoll(doubts.map((u) => ({ value: 0, u })))!.u;
  const ratio = Math.sqrt(sum / 4000) / stated;
  expect(ratio).toBeGreaterThan(0.4);
  expect(ratio).toBeLessThan(1.35);
});
test('a ring that is badly read may belong to the other side of the middle, and the doubt says so', () => {
  // Two to the left, two to the right, and the middle one read where either side could be.
  const truth = [-3.8, -0.4, 0, 6.4, 3.6];
  const doubts = [1, 1.2, 5, 1.3, 1.5];
  const normal = seededNormal(12);
  let [sum, stated] = [0, 0];
  for (let k = 0; k < 600; k++) {
    const found = commonRoll(truth.map((value, i) => ({ value: value + doubts[i]! * normal(), u: doubts[i]! })))!;
    sum += found.value ** 2;
    stated += found.u ** 2;
  }
  expect(Math.sqrt(sum / stated)).toBeGreaterThan(0.7);
  expect(Math.sqrt(sum / stated)).toBeLessThan(1.15);
});
test.each([
  ['alike', [0, 0, 0, 0, 0, 0, 0], [0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5]],
  ['an even number', [0, 0.2, -0.3, 0.1], [0.5, 0.8, 0.6, 0.7]],
  ['set unevenly, read unevenly', [-1.1, 0.3, -0.3, 1, -0.7, 0.5, 0.3, -0.5], [1.8, 1.8, 1.1, 0.7, 0.8, 1.1, 0.8, 0.6]],
  ['one turned', [0, 0.1, -0.1, 0.2, 6], [0.3, 0.5, 0.4, 0.6, 0.4]],
])(
  'how well each ring is known counted from the line they make together: %s (seeded simulation)',
  (_, truth, doubts) => {
    const normal = seededNormal(21);
    const line = commonRoll(truth.map((value) => ({ value, u: 0.01 })))!.value;
    const sums = truth.map(() => [0, 0]);
    for (let k = 0; k < 100; k++) {
      const read = truth.map((value, i) => ({ value: value + doubts[i]! * normal(), u: doubts[i]! }));
      const found = commonRoll(read)!;
      const apart = doubtFromCommonRoll(read, found);
      for (const [i, sum] of sums.entries()) {
        sum[0]! += (read[i]!.value - found.value - (truth[i]! - line)) ** 2;
        sum[1]! += apart[i]! ** 2;
      }
    }
    for (const [i, [square, stated]] of sums.entries()) {
      expect(Math.sqrt(square! / stated!), `ring ${i}`).toBeGreaterThan(0.7);
      expect(Math.sqrt(square! / stated!), `ring ${i}`).toBeLessThan(1.2);
    }
  },
);
test('of two rings each lies half their difference from the line: the doubt is that, or a little more', () => {
  const rolls = [
    { value: 0.4, u: 0.6 },
    { value: -0.4, u: 0.9 },
  ];
  for (const doubt of doubtFromCommonRoll(rolls, commonRoll(rolls)!)) {
    expect(doubt).toBeGreaterThan(Math.hypot(0.6, 0.9) / 2);
    expect(doubt).toBeLessThan(0.9);
  }
});
test('angles come back into half a turn either way', () => {
  expect(wrapDegrees(190)).toBe(-170);
  expect(wrapDegrees(-180)).toBe(180);
  expect(wrapDegrees(720)).toBe(0);
});
