import { expect, test } from 'vitest';
import { inverseOfLower, jointPrior } from '../../src/adjust/joint_prior.ts';
import { parameterCovariance } from '../../src/numerics/least_squares.ts';

const covariance = Float64Array.from([4, 1.2, -0.6, 1.2, 2, 0.3, -0.6, 0.3, 1]);

test('what is known beforehand comes out as it went in: its squares are Mahalanobis’s, its covariance its own', () => {
  const block = jointPrior([2, 0, 1], [1, -2, 0.5], covariance)!;
  const values = Float64Array.from([-1, 1.5, 2]);
  const residuals = new Float64Array(3);
  block.evaluate(values, residuals, undefined);
  // by hand: off by (1, 1, 1); the covariance's inverse times that, by Cramer's rule
  const rows = [
    [4, 1.2, -0.6],
    [1.2, 2, 0.3],
    [-0.6, 0.3, 1],
  ];
  const determinant = (m: number[][]) =>
    m[0]![0]! * (m[1]![1]! * m[2]![2]! - m[1]![2]! * m[2]![1]!) -
    m[0]![1]! * (m[1]![0]! * m[2]![2]! - m[1]![2]! * m[2]![0]!) +
    m[0]![2]! * (m[1]![0]! * m[2]![1]! - m[1]![1]! * m[2]![0]!);
  const solved = [0, 1, 2].map((k) => determinant(rows.map((row) => row.with(k, 1))) / determinant(rows));
  const squares = residuals.reduce((sum, r) => sum + r * r, 0);
  expect(squares).toBeCloseTo(solved[0]! + solved[1]! + solved[2]!, 12);
  const found = parameterCovariance([block], values, new Set())!;
  for (const [i, p] of [2, 0, 1].entries())
    for (const [j, q] of [2, 0, 1].entries()) expect(found[3 * p + q]).toBeCloseTo(covariance[3 * i + j]!, 12);
});

test('a matrix that is no covariance makes no prior', () => {
  expect(jointPrior([0, 1], [0, 0], Float64Array.from([1, 2, 2, 1]))).toBeUndefined();
});

test('a lower triangle times its inverse is one', () => {
  const lower = Float64Array.from([2, 0, 0, -1, 0.5, 0, 3, 4, 5]);
  const inverse = inverseOfLower(lower, 3);
  for (let i = 0; i < 3; i++)
    for (let j = 0; j < 3; j++) {
      const product = [0, 1, 2].reduce((sum, k) => sum + lower[3 * i + k]! * inverse[3 * k + j]!, 0);
      expect(product).toBeCloseTo(i === j ? 1 : 0, 12);
    }
});
