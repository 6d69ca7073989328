import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { joinedState, type RingReadingTried } from '../../src/adjust/ring_readings.ts';
import type { RingFit } from '../../src/adjust/ring_fit.ts';
import { eachUnknown, ringUnknowns } from '../../src/adjust/ring_state.ts';

const planned = {};

/** A fit that came to rest at `right`, borne out by so much. */
function restAt(right: number, rank: number, make: object = planned): RingReadingTried {
  const state = eachUnknown((name) => (name === 'right' ? right : name === 'up' ? 8 : 1));
  return { make, rank, fit: { state } as RingFit };
}
const quick = () => false;

describe('the rests of one reading', () => {
  test('one alone is what it is', () => {
    const best = restAt(0.3, 12);
    for (const name of ringUnknowns) expect(joinedState(best, [best], quick)[name]).toBe(best.fit.state[name]);
  });

  test('two borne out alike are met in the middle, and chance between them moves it little', () => {
    const [a, b] = [restAt(-0.2, 12), restAt(0.2, 12.5)];
    expect(Math.abs(joinedState(b, [a, b], quick).right)).toBeLessThan(0.02);
    expect(Math.abs(joinedState(a, [a, restAt(0.2, 11.5)], quick).right)).toBeLessThan(0.02);
  });

  test('one far better borne out stands as good as alone', () => {
    const [good, poor] = [restAt(0.2, 40), restAt(-0.2, 0)];
    expect(joinedState(good, [good, poor], quick).right).toBeGreaterThan(0.19);
  });

  test('another make, and a place of its own, are other readings', () => {
    const best = restAt(0, 12);
    const others = [restAt(0.3, 11, {}), restAt(0.9, 11.9)];
    expect(joinedState(best, [best, ...others], quick).right).toBe(0);
  });

  test('a thorough fit counts more than a quick one', () => {
    const [a, b] = [restAt(-0.2, 12), restAt(0.2, 12)];
    expect(joinedState(b, [a, b], (t) => t === b).right).toBeCloseTo(0.12, 6);
  });

  test('the mean lies among the rests', () => {
    const rests = fc.array(
      fc.tuple(fc.double({ min: -0.25, max: 0.25, noNaN: true }), fc.double({ min: -20, max: 60, noNaN: true })),
      {
        minLength: 1,
        maxLength: 12,
      },
    );
    fc.assert(
      fc.property(rests, (list) => {
        const tried = list.map(([right, rank]) => restAt(right, rank)).sort((a, b) => b.rank - a.rank);
        const { right } = joinedState(tried[0]!, tried, quick);
        const places = list.map(([place]) => place);
        expect(right).toBeGreaterThanOrEqual(Math.min(...places) - 1e-9);
        expect(right).toBeLessThanOrEqual(Math.max(...places) + 1e-9);
      }),
    );
  });
});
