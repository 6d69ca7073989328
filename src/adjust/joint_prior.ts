import { choleskyFactor } from '../numerics/cholesky.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';

/**
 * An observation of several parameters together: what is known of them beforehand as a mean and a covariance (n x n,
 * row by row), whitened by the inverse of the covariance's Cholesky factor. Undefined where the covariance is none.
 */
export function jointPrior(
  parameters: readonly number[],
  mean: ArrayLike<number>,
  covariance: Float64Array,
): ResidualBlock | undefined {
  const n = parameters.length;
  const factor = choleskyFactor(covariance, n);
  if (!factor) return undefined;
  const whiten = inverseOfLower(factor, n);
  return {
    parameters,
    size: n,
    evaluate(values, residuals, jacobian) {
      for (let i = 0; i < n; i++) {
        let sum = 0;
        for (let j = 0; j <= i; j++) sum += whiten[i * n + j]! * (values[parameters[j]!]! - mean[j]!);
        residuals[i] = sum;
      }
      jacobian?.set(whiten);
    },
  };
}

/** Inverse of a lower triangular matrix, row by row. */
export function inverseOfLower(lower: Float64Array, n: number): Float64Array {
  const inverse = new Float64Array(n * n);
  for (let column = 0; column < n; column++) {
    for (let i = column; i < n; i++) {
      let sum = i === column ? 1 : 0;
      for (let k = column; k < i; k++) sum -= lower[i * n + k]! * inverse[k * n + column]!;
      inverse[i * n + column] = sum / lower[i * n + i]!;
    }
  }
  return inverse;
}
