import { type FewCovariance, type JointCovariance, makeFewCovariance, readFewCovariance } from './joint_covariance.ts';
import { type ResidualBlock, robustWeight } from './residual_block.ts';
import { makeZeroed } from './zeroed.ts';

/**
 * How large the residuals of some blocks are against what their standard deviations say, and how many of them are free.
 */
export interface VarianceComponent {
  /** weighted sum of squared whitened residuals */
  squares: number;
  /** degrees of freedom: residuals (each by its robust weight) less what the parameters take up of them */
  freedom: number;
}

/**
 * The variance component of a group of blocks at a solution: `squares / freedom` near 1 means that its standard
 * deviations are right. `covariance` is the parameters'. Source: Foerstner, "Ein Verfahren zur Schaetzung von
 * Varianz- und Kovarianzkomponenten", Allgemeine Vermessungs-Nachrichten 86 (1979) 446-453 (from memory; Koch,
 * "Parameter estimation and hypothesis testing in linear models", 1999, section 3.6).
 */
export function varianceComponent(
  blocks: readonly ResidualBlock[],
  values: Float64Array,
  covariance: JointCovariance,
): VarianceComponent {
  let squares = 0;
  let freedom = 0;
  const most = blocks.reduce((width, { parameters }) => Math.max(width, parameters.length), 0);
  const few = makeFewCovariance(most);
  const row = { at: new Int32Array(most), element: new Float64Array(most) };
  const residualsOf = makeZeroed();
  const jacobianOf = makeZeroed();
  for (const block of blocks) {
    const { parameters, size } = block;
    const width = parameters.length;
    const residuals = residualsOf(size);
    const jacobian = jacobianOf(size * width);
    block.evaluate(values, residuals, jacobian);
    let square = 0;
    for (const r of residuals) square += r * r;
    const weight = robustWeight(block, residuals);
    readFewCovariance(covariance, parameters, few);
    let taken = 0;
    for (let k = 0; k < size; k++) taken += varianceOfRow(jacobian, k * width, few, row);
    squares += weight * square;
    freedom += weight * (size - taken);
  }
  return { squares, freedom };
}

/** Variance of what a block's row, from its place `first` on, says; `row` = room for its elements that are not zero. */
function varianceOfRow(
  jacobian: Float64Array,
  first: number,
  { count, place, lengths, lower }: FewCovariance,
  { at, element }: { at: Int32Array; element: Float64Array },
): number {
  let touched = 0;
  for (let a = 0; a < count; a++) {
    const derivative = jacobian[first + place[a]!]!;
    if (derivative === 0) continue;
    at[touched] = a;
    element[touched++] = derivative / lengths[a]!;
  }
  let sum = 0;
  for (let a = 0; a < touched; a++) {
    const left = element[a]!;
    const from = (at[a]! * (at[a]! + 1)) / 2;
    for (let b = 0; b < a; b++) sum += 2 * (left * element[b]! * lower[from + at[b]!]!);
    sum += left * left * lower[from + at[a]!]!;
  }
  return sum;
}

/**
 * Variance of unit weight: the weighted sum of squares over its degrees of freedom; near 1 when the sigmas were right.
 */
export function varianceFactor(blocks: readonly ResidualBlock[], values: Float64Array, freeParameters: number): number {
  let sum = 0;
  let count = 0;
  for (const block of blocks) {
    const residuals = new Float64Array(block.size);
    block.evaluate(values, residuals, undefined);
    let square = 0;
    for (const r of residuals) square += r * r;
    sum += robustWeight(block, residuals) * square;
    count += block.size;
  }
  return count > freeParameters ? sum / (count - freeParameters) : Number.NaN;
}
