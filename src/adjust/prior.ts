import type { ResidualBlock } from '../numerics/residual_block.ts';

/** An observation of one parameter itself: (value - mean) / sigma. */
export function prior(parameter: number, mean: number, sigma: number): ResidualBlock {
  return {
    parameters: [parameter],
    size: 1,
    evaluate(values, residuals, jacobian) {
      residuals[0] = (values[parameter]! - mean) / sigma;
      if (jacobian) jacobian[0] = 1 / sigma;
    },
  };
}

/** The same of several parameters, each by itself. */
export function priors(
  parameters: readonly number[],
  means: ArrayLike<number>,
  sigmas: ArrayLike<number>,
): ResidualBlock {
  const n = parameters.length;
  return {
    parameters,
    size: n,
    evaluate(values, residuals, jacobian) {
      for (let i = 0; i < n; i++) residuals[i] = (values[parameters[i]!]! - means[i]!) / sigmas[i]!;
      if (jacobian) for (let i = 0; i < n; i++) jacobian[i * n + i] = 1 / sigmas[i]!;
    },
  };
}
