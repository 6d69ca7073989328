import fc from 'fast-check';
import { expect, test } from 'vitest';
import { normalQuantile, normalShareBelow } from '../../src/numerics/normal_distribution.ts';
import { median, orderStatistic, quantile, robustSigma } from '../../src/numerics/robust.ts';
import { seededNormal } from '../world/seeded_random.ts';

const finite = fc.double({ min: -1e6, max: 1e6, noNaN: true });

test('an order statistic is one of the values, with about that share below it; of none there is none', () => {
  fc.assert(
    fc.property(
      fc.array(finite, { minLength: 1, maxLength: 40 }),
      fc.double({ min: 0, max: 1, noNaN: true }),
      (v, p) => {
        const found = orderStatistic(v, p)!;
        expect(v).toContain(found);
        expect(v.filter((value) => value < found).length).toBeLessThanOrEqual(p * v.length);
        expect(v.filter((value) => value <= found).length).toBeGreaterThanOrEqual(Math.min(p * v.length, v.length));
      },
    ),
  );
  expect(orderStatistic([], 0.5)).toBeUndefined();
  expect(orderStatistic([4, 1, 3, 2], 0.5)).toBe(3);
  expect(median([4, 1, 3, 2])).toBe(2.5);
});

test('a quantile lies between the two values in order next to it, what is not finite left out', () => {
  const any = fc.oneof(finite, fc.constantFrom(0, 1, 1, Number.NaN, Number.POSITIVE_INFINITY));
  fc.assert(
    fc.property(fc.array(any, { maxLength: 60 }), fc.double({ min: 0, max: 1, noNaN: true }), (values, q) => {
      const sorted = Float64Array.from(values.filter(Number.isFinite)).sort();
      const place = q * (sorted.length - 1);
      const [below, above] = [sorted[Math.floor(place)]!, sorted[Math.ceil(place)]!];
      const expected = sorted.length === 0 ? Number.NaN : below + (above - below) * (place - Math.floor(place));
      expect(quantile(values, q) + 0).toBe(expected + 0);
      const numbers = Float64Array.from(values).sort();
      const at = Math.min(Math.floor(q * numbers.length), numbers.length - 1);
      expect(orderStatistic(values, q)).toBe(numbers[at]);
    }),
  );
});

test('the normal quantile turns the share below back, to the error its source states (4.5e-4)', () => {
  fc.assert(
    fc.property(fc.double({ min: -4, max: 4, noNaN: true }), (z) => {
      expect(Math.abs(normalQuantile(normalShareBelow(z)) - z)).toBeLessThan(Math.abs(z) > 3.5 ? 0.01 : 1e-3);
    }),
  );
  // Tables: 95 % lie below 1.644854, 97.5 % below 1.959964.
  expect(Math.abs(normalQuantile(0.95) - 1.644854)).toBeLessThan(4.5e-4);
  expect(Math.abs(normalQuantile(0.975) - 1.959964)).toBeLessThan(4.5e-4);
});

test('a seventh of the values being wild leaves the robust deviation of the rest within a third', () => {
  const normal = seededNormal(7);
  const calm = Array.from({ length: 3000 }, () => 2 * normal());
  expect(robustSigma(calm)).toBeGreaterThan(1.9);
  expect(robustSigma(calm)).toBeLessThan(2.1);
  const wild = [...calm, ...Array.from({ length: 500 }, (_, i) => (i % 2 ? 1e4 : -1e4))];
  expect(robustSigma(wild)).toBeLessThan(2 * 1.34);
});
