/** Some residuals that depend on a few of the parameters. */
export interface ResidualBlock {
  /** indices into the parameter vector, each at most once */
  parameters: ArrayLike<number>;
  /** how many residuals */
  size: number;
  /** Cauchy's loss on the block's length with this scale (in standard deviations); absent: plain squares. */
  robust?: number;
  /** true where the loss is taken of each residual by itself: one block then holds many observations */
  apart?: boolean;
  /** Fills `residuals` (size) and, when asked, `jacobian` (size x parameters.length, row by row) at `values`. */
  evaluate(values: Float64Array, residuals: Float64Array, jacobian: Float64Array | undefined): void;
}

/**
 * Residuals given as one function of all parameters, their derivatives by central differences; `steps` are the
 * difference steps, about the size on which the residual bends.
 */
export function differencedBlock(
  residual: (parameters: readonly number[]) => readonly number[],
  size: number,
  steps: readonly number[],
): ResidualBlock {
  return {
    parameters: steps.map((_, i) => i),
    size,
    evaluate(values, residuals, jacobian) {
      const p = [...values];
      residuals.set(residual(p));
      if (!jacobian) return;
      for (const [j, step] of steps.entries()) {
        const [up, down] = [residual(p.with(j, p[j]! + step)), residual(p.with(j, p[j]! - step))];
        for (let i = 0; i < size; i++) jacobian[i * steps.length + j] = (up[i]! - down[i]!) / (2 * step);
      }
    },
  };
}

/** The weight that Cauchy's loss of a scale leaves to residuals of this sum of squares: 1 where there is no scale. */
export const weightOf = (square: number, robust: number | undefined): number =>
  robust === undefined ? 1 : 1 / (1 + square / (robust * robust));

/** The weight that a block's loss leaves to its residuals, which are taken together: 1 where they are plain squares. */
export function robustWeight({ robust }: ResidualBlock, residuals: Float64Array): number {
  let square = 0;
  for (const r of residuals) square += r * r;
  return weightOf(square, robust);
}
