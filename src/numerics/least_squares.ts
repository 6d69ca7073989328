import { choleskyFactor, choleskyInverse } from './cholesky.ts';
import {
  costOf,
  type NormalEquations,
  normalEquations,
  type Reduced,
  reduced,
  scaleToUnitDiagonal,
  solveReduced,
} from './normal_equations.ts';
import type { ResidualBlock } from './residual_block.ts';
import { type Sorting, sortUnknowns } from './unknowns.ts';

/**
 * Nonlinear least squares: minimise the sum over blocks of rho(|r|^2) / 2 by Levenberg and Marquardt's method on normal
 * equations (Madsen, Nielsen, Tingleff, "Methods for non-linear least squares problems", 2004), dense but for groups of
 * unknowns that are eliminated first, the columns scaled to unit length. Residuals are whitened: divided by their
 * standard deviation, so a good fit has a mean square near 1 and the inverse of the normal matrix is the covariance.
 */

export type Ending = 'cost-converged' | 'step-converged' | 'iteration-limit' | 'cannot-descend' | 'not-finite';

export interface Solution {
  values: Float64Array;
  ending: Ending;
  iterations: number;
  startCost: number;
  cost: number;
  residualCount: number;
  /** True when the values are at (or as near as rounding allows to) a minimum. */
  usable: boolean;
}

export interface SolveOptions extends Sorting {
  maximumIterations?: number;
  /** a step below this share of every parameter ends the search; 1e-10 when absent */
  leastStep?: number;
  /**
   * the search ends where the model promises less than this of the cost (half a sum of squares of whitened residuals):
   * 1e-4 leaves every parameter within about a hundredth of its standard deviation; absent: what rounding keeps
   */
  leastGain?: number;
  /** first damping, of a normal matrix with unit diagonal; less where the start is already near; 1e-4 when absent */
  damping?: number;
}

/**
 * True when the model promises less than rounding keeps of the cost: parameters then stand within a millionth of their
 * standard deviation. A heavily damped step promises little anywhere, so it does not count.
 */
const nothingToGain = (expected: number, cost: number, damping: number, leastGain = 0) =>
  damping < 1 && expected <= Math.max(1e-14 * cost, leastGain);

/** How the search ends with a step, whether it is taken or not; undefined where it goes on. */
const endingOf = (
  { relative, expected }: DampedStep,
  cost: number,
  damping: number,
  { leastStep = 1e-10, leastGain }: SolveOptions,
): Ending | undefined => {
  if (relative < leastStep) return 'step-converged';
  return nothingToGain(expected, cost, damping, leastGain) ? 'cost-converged' : undefined;
};

/**
 * Where a damped step leads, how far it moves any parameter (share of itself), the fall of the cost it promises, and
 * the equations it came from.
 */
interface DampedStep {
  next: Float64Array;
  left: Reduced;
  relative: number;
  expected: number;
}

/**
 * A step from `values` by normal equations scaled to a unit diagonal (`lengths` = their columns' lengths, `scaled` =
 * their right side); undefined where even the damped matrix is singular.
 */
function dampedStep(
  equations: NormalEquations,
  scaled: Float64Array,
  lengths: Float64Array,
  damping: number,
  values: Float64Array,
): DampedStep | undefined {
  const { free } = equations.unknowns;
  const left = reduced(equations, damping);
  if (!left) return undefined;
  const step = solveReduced(left, equations.unknowns, scaled);
  const next = Float64Array.from(values);
  let relative = 0;
  let expected = 0;
  for (let i = 0; i < free.length; i++) {
    const move = step[i]! / lengths[i]!;
    next[free[i]!]! += move;
    relative = Math.max(relative, Math.abs(move) / (Math.abs(values[free[i]!]!) + 1e-8));
    expected += 0.5 * step[i]! * (damping * step[i]! + scaled[i]!);
  }
  return { next, left, relative, expected };
}

/** Where one step leads, and the covariance of what no group holds, by the normal equations it came from. */
export interface NewtonStep {
  values: Float64Array;
  /** n x n row by row over the n free parameters outside all groups, in their order; worked out when asked for */
  sharedCovariance: () => Float64Array;
}

/**
 * One step of Gauss and Newton from `values` (not changed), taken whether the cost falls or not: for fits that find
 * their observations anew after each. Undefined where the observations do not determine all parameters.
 */
export function gaussNewtonStep(
  blocks: readonly ResidualBlock[],
  values: Float64Array,
  sorting: Sorting = {},
): NewtonStep | undefined {
  const unknowns = sortUnknowns(blocks, values.length, sorting);
  const equations = normalEquations(blocks, values, unknowns);
  const lengths = scaleToUnitDiagonal(equations);
  const scaled = equations.gradient.map((g, i) => -g / lengths[i]!);
  const step = dampedStep(equations, scaled, lengths, 0, values);
  if (!step) return undefined;
  const n = unknowns.sharedCount;
  const sharedCovariance = () =>
    choleskyInverse(step.left.factor, n).map((value, k) => value / (lengths[Math.floor(k / n)]! * lengths[k % n]!));
  return { values: step.next, sharedCovariance };
}

/** Minimises from `start` (not changed). */
export function solveLeastSquares(
  blocks: readonly ResidualBlock[],
  start: Float64Array,
  options: SolveOptions = {},
): Solution {
  const limit = options.maximumIterations ?? 50;
  const unknowns = sortUnknowns(blocks, start.length, options);
  let values: Float64Array = Float64Array.from(start);
  const residualCount = blocks.reduce((sum, block) => sum + block.size, 0);
  let equations = normalEquations(blocks, values, unknowns);
  const startCost = equations.cost;
  const end = (ending: Ending, iterations: number, cost = equations.cost): Solution => ({
    values,
    ending,
    iterations,
    startCost,
    cost,
    residualCount,
    usable: ending === 'cost-converged' || ending === 'step-converged',
  });
  if (!Number.isFinite(startCost)) return end('not-finite', 0);
  let damping = options.damping ?? 1e-4;
  let growth = 2;
  for (let iteration = 1; iteration <= limit; iteration++) {
    const lengths = scaleToUnitDiagonal(equations);
    const scaled = equations.gradient.map((g, i) => -g / lengths[i]!);
    let accepted = false;
    while (!accepted) {
      const step = dampedStep(equations, scaled, lengths, damping, values);
      const ending = step && endingOf(step, equations.cost, damping, options);
      // a step that goes on is weighed by the equations it would go on from; the last one's cost is enough
      const there = step && !ending ? normalEquations(blocks, step.next, unknowns) : undefined;
      const cost = there?.cost ?? (step ? costOf(blocks, step.next) : Number.POSITIVE_INFINITY);
      const gain = equations.cost - cost;
      if (step && Number.isFinite(cost) && gain >= 0) {
        values = step.next;
        if (!there) return end(ending!, iteration, cost);
        equations = there;
        damping *= Math.max(1 / 3, 1 - (2 * (gain / step.expected) - 1) ** 3);
        damping = Math.max(damping, 1e-15);
        growth = 2;
        accepted = true;
      } else {
        if (ending) return end(ending, iteration);
        damping *= growth;
        growth *= 2;
        if (damping > 1e12) return end('cannot-descend', iteration);
      }
    }
  }
  return end('iteration-limit', limit);
}

/**
 * Covariance of the parameters at a minimum, the residuals being whitened: the inverse of the normal matrix, n x n row
 * by row over all parameters (rows of constant ones are zero). Undefined when the observations do not determine them
 * all. Conditioned on the constant parameters.
 */
export function parameterCovariance(
  blocks: readonly ResidualBlock[],
  values: Float64Array,
  constant?: ReadonlySet<number>,
): Float64Array | undefined {
  const unknowns = sortUnknowns(blocks, values.length, { constant });
  const { free } = unknowns;
  const n = free.length;
  const equations = normalEquations(blocks, values, unknowns);
  const lengths = scaleToUnitDiagonal(equations);
  const factor = choleskyFactor(equations.shared, n);
  if (!factor) return undefined;
  const total = values.length;
  const covariance = new Float64Array(total * total);
  const inverse = choleskyInverse(factor, n);
  for (let j = 0; j < n; j++)
    for (let i = 0; i < n; i++)
      covariance[free[i]! * total + free[j]!] = inverse[i * n + j]! / (lengths[i]! * lengths[j]!);
  return covariance;
}
