import { choleskyFactor, choleskyInverse, choleskySolve } from './cholesky.ts';
import { makeZeroed } from './zeroed.ts';

/**
 * Nonlinear least squares: minimise the sum over blocks of rho(|r|^2) / 2 by Levenberg and Marquardt's method on dense
 * normal equations (Madsen, Nielsen, Tingleff, "Methods for non-linear least squares problems", 2004), the columns
 * scaled to unit length first. Residuals are whitened: divided by their standard deviation, so a good fit has a mean
 * square near 1 and the inverse of the normal matrix is the covariance.
 */

/** Some residuals that depend on a few of the parameters. */
export interface ResidualBlock {
  /** indices into the parameter vector, each at most once */
  parameters: ArrayLike<number>;
  /** how many residuals */
  size: number;
  /** Cauchy's loss on the block's length with this scale (in standard deviations); absent: plain squares. */
  robust?: number;
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

export interface SolveOptions {
  maximumIterations?: number;
  /** parameters held at their start values */
  constant?: ReadonlySet<number>;
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

interface NormalEquations {
  matrix: Float64Array;
  gradient: Float64Array;
  cost: number;
}

const cauchyCost = (square: number, scale: number) => scale * scale * Math.log1p(square / (scale * scale));

/** The weight that a block's loss leaves to its residuals: 1 where they are plain squares. */
export function robustWeight({ robust }: ResidualBlock, residuals: Float64Array): number {
  if (robust === undefined) return 1;
  let square = 0;
  for (const r of residuals) square += r * r;
  return 1 / (1 + square / (robust * robust));
}

/** Packs the free parameters: full index -> column, or -1 for a constant one. */
function columnsOf(count: number, constant: ReadonlySet<number> | undefined): { column: Int32Array; free: number[] } {
  const column = new Int32Array(count).fill(-1);
  const free: number[] = [];
  for (let i = 0; i < count; i++) {
    if (constant?.has(i)) continue;
    column[i] = free.length;
    free.push(i);
  }
  return { column, free };
}

function costOf(blocks: readonly ResidualBlock[], values: Float64Array): number {
  let cost = 0;
  const zeroed = makeZeroed();
  for (const block of blocks) {
    const residuals = zeroed(block.size);
    block.evaluate(values, residuals, undefined);
    let square = 0;
    for (const r of residuals) square += r * r;
    cost += block.robust === undefined ? square : cauchyCost(square, block.robust);
  }
  return cost / 2;
}

function normalEquations(
  blocks: readonly ResidualBlock[],
  values: Float64Array,
  column: Int32Array,
  n: number,
): NormalEquations {
  const matrix = new Float64Array(n * n);
  const gradient = new Float64Array(n);
  let cost = 0;
  // The columns and elements of one row that are not zero: most rows touch a part of their block's parameters.
  const at = new Int32Array(n);
  const element = new Float64Array(n);
  const residualsOf = makeZeroed();
  const jacobianOf = makeZeroed();
  for (const block of blocks) {
    const width = block.parameters.length;
    const residuals = residualsOf(block.size);
    const jacobian = jacobianOf(block.size * width);
    block.evaluate(values, residuals, jacobian);
    let square = 0;
    for (const r of residuals) square += r * r;
    let weight = 1;
    if (block.robust === undefined) cost += square;
    else {
      cost += cauchyCost(square, block.robust);
      weight = 1 / (1 + square / (block.robust * block.robust));
    }
    for (let k = 0; k < block.size; k++) {
      const row = k * width;
      let count = 0;
      for (let a = 0; a < width; a++) {
        const i = column[block.parameters[a]!]!;
        if (i < 0 || jacobian[row + a] === 0) continue;
        at[count] = i;
        element[count++] = jacobian[row + a]!;
      }
      for (let a = 0; a < count; a++) {
        const i = at[a]!;
        const left = weight * element[a]!;
        gradient[i]! += left * residuals[k]!;
        for (let b = 0; b <= a; b++) {
          const j = at[b]!;
          matrix[i >= j ? i * n + j : j * n + i]! += left * element[b]!;
        }
      }
    }
  }
  return { matrix, gradient, cost: cost / 2 };
}

/** Scales rows and columns so that the diagonal is 1; returns the column lengths. A zero column gets length 1. */
function scaleToUnitDiagonal(matrix: Float64Array, n: number): Float64Array {
  const lengths = new Float64Array(n);
  for (let i = 0; i < n; i++) lengths[i] = Math.sqrt(matrix[i * n + i]!) || 1;
  for (let i = 0; i < n; i++) for (let j = 0; j <= i; j++) matrix[i * n + j]! /= lengths[i]! * lengths[j]!;
  return lengths;
}

/**
 * True when the model promises less than rounding keeps of the cost: parameters then stand within a millionth of their
 * standard deviation. A heavily damped step promises little anywhere, so it does not count.
 */
const nothingToGain = (expected: number, cost: number, damping: number, leastGain = 0) =>
  damping < 1 && expected <= Math.max(1e-14 * cost, leastGain);

/**
 * Where a damped step leads, how far it moves any parameter (share of itself), and the fall of the cost it promises.
 */
interface DampedStep {
  next: Float64Array;
  relative: number;
  expected: number;
}

/**
 * A step from `values` by normal equations scaled to a unit diagonal (`lengths` = their columns' lengths, `scaled` =
 * their right side); undefined where even the damped matrix is singular.
 */
function dampedStep(
  matrix: Float64Array,
  scaled: Float64Array,
  lengths: Float64Array,
  damping: number,
  values: Float64Array,
  free: readonly number[],
): DampedStep | undefined {
  const n = free.length;
  const damped = Float64Array.from(matrix);
  for (let i = 0; i < n; i++) damped[i * n + i]! += damping;
  const factor = choleskyFactor(damped, n);
  if (!factor) return undefined;
  const step = choleskySolve(factor, n, scaled);
  const next = Float64Array.from(values);
  let relative = 0;
  let expected = 0;
  for (let i = 0; i < n; i++) {
    const move = step[i]! / lengths[i]!;
    next[free[i]!]! += move;
    relative = Math.max(relative, Math.abs(move) / (Math.abs(values[free[i]!]!) + 1e-8));
    expected += 0.5 * step[i]! * (damping * step[i]! + scaled[i]!);
  }
  return { next, relative, expected };
}

/** Minimises from `start` (not changed). */
export function solveLeastSquares(
  blocks: readonly ResidualBlock[],
  start: Float64Array,
  options: SolveOptions = {},
): Solution {
  const limit = options.maximumIterations ?? 50;
  const leastStep = options.leastStep ?? 1e-10;
  const { column, free } = columnsOf(start.length, options.constant);
  const n = free.length;
  let values: Float64Array = Float64Array.from(start);
  const residualCount = blocks.reduce((sum, block) => sum + block.size, 0);
  let equations = normalEquations(blocks, values, column, n);
  const startCost = equations.cost;
  const end = (ending: Ending, iterations: number): Solution => ({
    values,
    ending,
    iterations,
    startCost,
    cost: equations.cost,
    residualCount,
    usable: ending === 'cost-converged' || ending === 'step-converged',
  });
  if (!Number.isFinite(startCost)) return end('not-finite', 0);
  let damping = options.damping ?? 1e-4;
  let growth = 2;
  for (let iteration = 1; iteration <= limit; iteration++) {
    const lengths = scaleToUnitDiagonal(equations.matrix, n);
    const scaled = equations.gradient.map((g, i) => -g / lengths[i]!);
    let accepted = false;
    while (!accepted) {
      const step = dampedStep(equations.matrix, scaled, lengths, damping, values, free);
      const cost = step ? costOf(blocks, step.next) : Number.POSITIVE_INFINITY;
      const gain = equations.cost - cost;
      if (step && Number.isFinite(cost) && gain >= 0) {
        values = step.next;
        const converged = nothingToGain(step.expected, equations.cost, damping, options.leastGain);
        equations = normalEquations(blocks, values, column, n);
        if (step.relative < leastStep) return end('step-converged', iteration);
        if (converged) return end('cost-converged', iteration);
        damping *= Math.max(1 / 3, 1 - (2 * (gain / step.expected) - 1) ** 3);
        damping = Math.max(damping, 1e-15);
        growth = 2;
        accepted = true;
      } else {
        if (step && step.relative < leastStep) return end('step-converged', iteration);
        if (step && nothingToGain(step.expected, equations.cost, damping, options.leastGain))
          return end('cost-converged', iteration);
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
  const { column, free } = columnsOf(values.length, constant);
  const n = free.length;
  const { matrix } = normalEquations(blocks, values, column, n);
  const lengths = scaleToUnitDiagonal(matrix, n);
  const factor = choleskyFactor(matrix, n);
  if (!factor) return undefined;
  const total = values.length;
  const covariance = new Float64Array(total * total);
  const inverse = choleskyInverse(factor, n);
  for (let j = 0; j < n; j++)
    for (let i = 0; i < n; i++)
      covariance[free[i]! * total + free[j]!] = inverse[i * n + j]! / (lengths[i]! * lengths[j]!);
  return covariance;
}
