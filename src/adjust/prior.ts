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
