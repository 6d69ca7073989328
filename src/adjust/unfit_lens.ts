import { choleskyFactor, choleskySolve } from '../numerics/cholesky.ts';
import { covarianceAt, type JointCovariance } from '../numerics/joint_covariance.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';

/** The share of its own weight that a prior keeps where the photos tell nothing: bounds what rounding makes of that. */
const kept = 0.05;

/**
 * How far what was known beforehand lies from what the photos alone say, over the doubt of both: a sum of squares, and
 * what mean and spread it has where the two agree. `prior` is a joint one, whitened; `covariance` that of the solution
 * with it. In the prior's whitened coordinates its residuals have the covariance I - B, B being the solution's
 * own (the innovation of a Kalman filter, seen from behind; Koch, "Parameter estimation and hypothesis testing in
 * linear models", 1999, section 4.2).
 */
export function contradictionOf(
  prior: ResidualBlock,
  values: Float64Array,
  covariance: JointCovariance,
): { squares: number; mean: number; sigma: number } {
  const n = prior.size;
  const width = prior.parameters.length;
  const residuals = new Float64Array(n);
  const whiten = new Float64Array(n * width);
  prior.evaluate(values, residuals, whiten);
  const left = whitened(whiten, prior.parameters, covariance, n);
  const free = left.map((b, k) => (k % (n + 1) === 0 ? 1 - b : -b));
  const factor = choleskyFactor(
    left.map((b, k) => (k % (n + 1) === 0 ? 1 - (1 - kept) * b : -(1 - kept) * b)),
    n,
  );
  if (!factor) return { squares: 0, mean: 0, sigma: 0 };
  const solved = choleskySolve(factor, n, residuals);
  const share = new Float64Array(n * n);
  for (let i = 0; i < n; i++) share.set(choleskySolve(factor, n, free.subarray(i * n, (i + 1) * n)), i * n);
  let mean = 0;
  let variance = 0;
  for (let i = 0; i < n; i++) {
    mean += share[i * n + i]!;
    for (let j = 0; j < n; j++) variance += 2 * share[i * n + j]! * share[j * n + i]!;
  }
  return {
    squares: solved.reduce((sum, s, i) => sum + s * residuals[i]!, 0),
    mean,
    sigma: Math.sqrt(Math.max(variance, 0)),
  };
}

/** W C W', n x n. */
function whitened(
  whiten: Float64Array,
  parameters: ArrayLike<number>,
  covariance: JointCovariance,
  n: number,
): Float64Array {
  const width = parameters.length;
  const half = new Float64Array(n * width);
  for (let i = 0; i < n; i++)
    for (let k = 0; k < width; k++) {
      const w = whiten[i * width + k]!;
      if (w === 0) continue;
      for (let j = 0; j < width; j++)
        half[i * width + j]! += w * covarianceAt(covariance, parameters[k]!, parameters[j]!);
    }
  const out = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++)
      for (let k = 0; k < width; k++) out[i * n + j]! += half[i * width + k]! * whiten[j * width + k]!;
  return out;
}
