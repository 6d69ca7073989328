import fc from 'fast-check';
import { expect, test } from 'vitest';
import { ringMeasures } from '../../src/adjust/fitted_ring.ts';
import { honestCovariance } from '../../src/adjust/ring_doubt.ts';
import type { RingFit } from '../../src/adjust/ring_fit.ts';
import { eachUnknown, type RingState, type RingUnknown, ringUnknowns } from '../../src/adjust/ring_state.ts';
import { choleskyFactor } from '../../src/numerics/cholesky.ts';
import { type Covariance, covarianceOf } from '../../src/numerics/covariance.ts';

/** A fit of a ring rolled by so many degrees, whose own covariance is `own` on the diagonal. */
function fitAt(roll: number, views: number[], own: (name: RingUnknown) => number): RingFit {
  const angle = (roll * Math.PI) / 180;
  const place: Partial<RingState> = { along: 100, right: 12 * Math.sin(angle), up: 12 * Math.cos(angle), outer: 5 };
  const covariance: Covariance<RingUnknown> = covarianceOf(ringUnknowns, (a, b) => (a === b ? own(a) : 0));
  const state = eachUnknown((name) => place[name] ?? 0);
  return { state, covariance, views, edges: 40, evidence: 10, residual: 0.3, pxPerMm: 6 };
}

test('the doubt is a covariance: symmetric, positive, and nowhere less than what the fit itself leaves open', () => {
  fc.assert(
    fc.property(
      fc.double({ min: -180, max: 180, noNaN: true }),
      fc.double({ min: 1e-6, max: 1, noNaN: true }),
      (roll, v) => {
        const honest = honestCovariance(fitAt(roll, [0, 1], () => v));
        for (const a of ringMeasures) {
          for (const b of ringMeasures) expect(honest[a][b]).toBeCloseTo(honest[b][a], 12);
          expect(honest[a][a]).toBeGreaterThan(a === 'ringOuter' ? 4 * v : v);
        }
        const matrix = Float64Array.from(ringMeasures.flatMap((a) => ringMeasures.map((b) => honest[a][b])));
        expect(choleskyFactor(matrix, ringMeasures.length)).toBeDefined();
      },
    ),
  );
});

test('what light does goes with the ring round the blank: across its radius as much at every roll', () => {
  const across = (roll: number) => {
    const angle = (roll * Math.PI) / 180;
    const { right, up } = honestCovariance(fitAt(roll, [0, 1], () => 0));
    const [r, u] = [Math.cos(angle), -Math.sin(angle)];
    return r * r * right.right + 2 * r * u * right.up + u * u * up.up;
  };
  for (const roll of [-120, -35, 12, 90, 170]) expect(across(roll)).toBeCloseTo(across(0), 12);
});

test('one photo alone knows the place along less well than two', () => {
  const along = (views: number[]) => honestCovariance(fitAt(5, views, () => 0.01)).along.along;
  expect(along([3])).toBeGreaterThan(along([3, 4]));
});
