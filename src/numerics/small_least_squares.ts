import { solveLinearSystem } from './linear_system.ts';

/** A least-squares fit of few parameters, with the covariance that its scatter supports. */
export interface Fit {
  parameters: number[];
  /** residual standard deviation, sqrt(sum of squares / (points - parameters)); NaN without points to spare */
  deviation: number;
  /** covariance of the parameters: deviation^2 (J^T J)^-1 */
  covariance: number[][];
}

const squares = (values: readonly number[]) => values.reduce((sum, value) => sum + value * value, 0);

function jacobianOf(residual: (p: readonly number[]) => number[], p: readonly number[], steps: readonly number[]) {
  const columns = p.map((value, j) => {
    const [up, down] = [residual(p.with(j, value + steps[j]!)), residual(p.with(j, value - steps[j]!))];
    return up.map((v, i) => (v - down[i]!) / (2 * steps[j]!));
  });
  return columns;
}

/**
 * Levenberg-Marquardt with central differences; `steps` are the difference steps of the parameters, about the size on which
 * the residual bends. Returns undefined when the parameters cannot be told apart or it does not settle.
 * Sources: Marquardt 1963; the covariance as in JCGM 100:2008, H.3.
 */
export function leastSquares(
  residual: (parameters: readonly number[]) => number[],
  start: readonly number[],
  steps: readonly number[],
): Fit | undefined {
  let p = [...start];
  let r = residual(p);
  let damping = 1e-3;
  const normal = (columns: number[][]) =>
    columns.map((a) => columns.map((b) => a.reduce((sum, v, i) => sum + v * b[i]!, 0)));
  for (let iteration = 0; iteration < 100; iteration++) {
    const columns = jacobianOf(residual, p, steps);
    const matrix = normal(columns);
    const gradient = columns.map((column) => column.reduce((sum, v, i) => sum + v * r[i]!, 0));
    const damped = matrix.map((row, i) => row.map((v, j) => (i === j ? v * (1 + damping) : v)));
    const change = solveLinearSystem(damped, gradient);
    if (!change) return undefined;
    const trial = p.map((value, i) => value - change[i]!);
    const trialResidual = residual(trial);
    if (squares(trialResidual) <= squares(r)) {
      p = trial;
      r = trialResidual;
      damping = Math.max(damping / 10, 1e-12);
      if (change.some((c, i) => Math.abs(c) > 1e-6 * steps[i]!)) continue;
      const inverse = p.map((_, j) =>
        solveLinearSystem(
          normal(columns),
          p.map((__, i) => (i === j ? 1 : 0)),
        ),
      );
      if (inverse.some((column) => !column)) return undefined;
      const variance = squares(r) / (r.length - p.length);
      return {
        parameters: p,
        deviation: Math.sqrt(variance),
        covariance: p.map((_, i) => p.map((__, j) => inverse[j]![i]! * variance)),
      };
    }
    damping *= 10;
    if (damping > 1e12) return undefined;
  }
  return undefined;
}
