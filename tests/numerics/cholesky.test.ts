import { expect, test } from 'vitest';
import { choleskyFactor, choleskyInverse, choleskySolve } from '../../src/numerics/cholesky.ts';
import { seededUniform } from '../world/seeded_random.ts';

/** A symmetric positive definite matrix, most of it zero as in a walk: `share` of its pairs hang together. */
function scattered(n: number, share: number, seed: number): Float64Array {
  const uniform = seededUniform(seed);
  const matrix = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < i; j++) {
      if (uniform() > share) continue;
      matrix[i * n + j] = uniform() - 0.5;
      matrix[j * n + i] = matrix[i * n + j]!;
    }
    matrix[i * n + i] = n / 2;
  }
  return matrix;
}

const product = (a: Float64Array, b: Float64Array, n: number) =>
  Float64Array.from(a, (_, at) => {
    let sum = 0;
    for (let k = 0; k < n; k++) sum += a[Math.floor(at / n) * n + k]! * b[k * n + (at % n)]!;
    return sum;
  });

test('factor, solution and inverse of matrices from empty to full', () => {
  for (const [seed, share] of [0, 0.05, 0.3, 1].entries()) {
    const n = 24;
    const matrix = scattered(n, share, seed + 1);
    const factor = choleskyFactor(matrix, n)!;
    const transposed = Float64Array.from(factor, (_, at) => factor[(at % n) * n + Math.floor(at / n)]!);
    product(factor, transposed, n).forEach((value, at) => expect(value).toBeCloseTo(matrix[at]!, 10));
    const truth = Float64Array.from({ length: n }, (_, i) => i - 7);
    const right = truth.map((_, i) => truth.reduce((sum, x, k) => sum + matrix[i * n + k]! * x, 0));
    choleskySolve(factor, n, right).forEach((value, i) => expect(value).toBeCloseTo(truth[i]!, 9));
    product(choleskyInverse(factor, n), matrix, n).forEach((value, at) =>
      expect(value).toBeCloseTo(at % n === Math.floor(at / n) ? 1 : 0, 9),
    );
  }
});

test('a matrix that is not positive definite has no factor', () => {
  expect(choleskyFactor(Float64Array.of(1, 2, 2, 1), 2)).toBeUndefined();
  expect(choleskyFactor(Float64Array.of(1, 0, 0, 0), 2)).toBeUndefined();
});
