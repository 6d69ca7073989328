import { choleskyFactor, choleskySolve } from './cholesky.ts';
import { addAcross, addColumns, makeColumns, splitColumns } from './block_columns.ts';
import type { Unknowns } from './unknowns.ts';
import { type ResidualBlock, weightOf } from './residual_block.ts';
import { makeZeroed } from './zeroed.ts';

/**
 * The normal equations of least squares, in the parts that `unknowns` sorts them into: J'WJ of the shared unknowns, and
 * for each group its own and what ties it to the shared ones it meets.
 */
export interface NormalEquations {
  unknowns: Unknowns;
  /** lower half, shared x shared */
  shared: Float64Array;
  groups: GroupEquations[];
  /** shared unknowns first, then group by group */
  gradient: Float64Array;
  cost: number;
}

/** A group's part: `size` unknowns that meet `met` shared ones. */
export interface GroupEquations {
  size: number;
  /** columns of the shared unknowns it meets, ascending */
  met: Int32Array;
  /** lower half, size x size */
  own: Float64Array;
  /** size x met, row by row */
  across: Float64Array;
}

/** Cauchy's loss of a scale of a sum of squares: the sum itself where there is no scale. */
const lossOf = (square: number, scale: number | undefined) =>
  scale === undefined ? square : scale * scale * Math.log1p(square / (scale * scale));

/** A block's loss at its residuals. */
function blockLoss({ robust, apart }: ResidualBlock, residuals: Float64Array): { loss: number; square: number } {
  let square = 0;
  let loss = 0;
  for (const r of residuals) {
    square += r * r;
    if (apart) loss += lossOf(r * r, robust);
  }
  return { loss: apart ? loss : lossOf(square, robust), square };
}

/** Half the sum over blocks of their loss. */
export function costOf(blocks: readonly ResidualBlock[], values: Float64Array): number {
  let cost = 0;
  const zeroed = makeZeroed();
  for (const block of blocks) {
    const residuals = zeroed(block.size);
    block.evaluate(values, residuals, undefined);
    cost += blockLoss(block, residuals).loss;
  }
  return cost / 2;
}

/** The parts with nothing in them yet. */
function emptyEquations(unknowns: Unknowns): NormalEquations {
  const { sharedCount, free, groups } = unknowns;
  return {
    unknowns,
    shared: new Float64Array(sharedCount * sharedCount),
    groups: groups.map(({ size, met }) => ({
      size,
      met,
      own: new Float64Array(size * size),
      across: new Float64Array(size * met.length),
    })),
    gradient: new Float64Array(free.length),
    cost: 0,
  };
}

export function normalEquations(
  blocks: readonly ResidualBlock[],
  values: Float64Array,
  unknowns: Unknowns,
): NormalEquations {
  const equations = emptyEquations(unknowns);
  const { shared: matrix, groups, gradient } = equations;
  const { sharedCount } = unknowns;
  const shared = { matrix, size: sharedCount, gradient: gradient.subarray(0, sharedCount) };
  const parts = groups.map((group, g) => {
    const { first, size } = unknowns.groups[g]!;
    return { ...group, matrix: group.own, gradient: gradient.subarray(first, first + size) };
  });
  let cost = 0;
  const most = blocks.reduce((sizes, { size, parameters }) => Math.max(sizes, size * parameters.length), 0);
  const rows = blocks.reduce((largest, { size }) => Math.max(largest, size), 0);
  const widest = blocks.reduce((width, { parameters }) => Math.max(width, parameters.length), 0);
  const [common, own] = [makeColumns(widest, most), makeColumns(widest, most)];
  const [weights, left] = [new Float64Array(rows), new Float64Array(rows)];
  const residualsOf = makeZeroed();
  const jacobianOf = makeZeroed();
  for (const [b, block] of blocks.entries()) {
    const { size, robust, apart } = block;
    const residuals = residualsOf(size);
    const jacobian = jacobianOf(size * block.parameters.length);
    block.evaluate(values, residuals, jacobian);
    const { loss, square } = blockLoss(block, residuals);
    cost += loss;
    const together = weightOf(square, robust);
    for (let k = 0; k < size; k++) weights[k] = apart ? weightOf(residuals[k]! ** 2, robust) : together;
    const columns = unknowns.blocks[b]!;
    splitColumns(jacobian, size, columns, common, own);
    const weighing = { weights, left, residuals };
    addColumns(common, size, weighing, shared);
    const part = parts[columns.group];
    if (!part) continue;
    addColumns(own, size, weighing, part);
    addAcross(own, common, size, weighing, part);
  }
  return { ...equations, cost: cost / 2 };
}

/** Scales unknowns so that the diagonal is 1; returns their lengths before. One that nothing touches gets length 1. */
export function scaleToUnitDiagonal({ shared, groups, gradient, unknowns }: NormalEquations): Float64Array {
  const s = unknowns.sharedCount;
  const lengths = new Float64Array(gradient.length);
  for (let i = 0; i < s; i++) lengths[i] = Math.sqrt(shared[i * s + i]!) || 1;
  for (let i = 0; i < s; i++) for (let j = 0; j <= i; j++) shared[i * s + j]! /= lengths[i]! * lengths[j]!;
  for (const [g, { size, own, across, met }] of groups.entries()) {
    const { first } = unknowns.groups[g]!;
    for (let i = 0; i < size; i++) lengths[first + i] = Math.sqrt(own[i * size + i]!) || 1;
    for (let i = 0; i < size; i++) {
      const length = lengths[first + i]!;
      for (let j = 0; j <= i; j++) own[i * size + j]! /= length * lengths[first + j]!;
      for (let m = 0; m < met.length; m++) across[i * met.length + m]! /= length * lengths[met[m]!]!;
    }
  }
  return lengths;
}

/** The equations with each group eliminated: what is left for the shared unknowns. */
export interface Reduced {
  /** Cholesky factor of the Schur complement, shared x shared */
  factor: Float64Array;
  groups: (GroupEquations & {
    /** Cholesky factor L of the group's own part */
    lower: Float64Array;
    /** L^-1 times `across`, size x met */
    half: Float64Array;
  })[];
}

/**
 * Eliminates every group's own unknowns (Schur complement; Brown, "A solution to the general problem of multiple
 * station analytical stereotriangulation", 1958; Triggs, McLauchlan, Hartley, Fitzgibbon, "Bundle adjustment, a modern
 * synthesis", 2000, section 6.1): work and memory grow with the number of groups, not with its square or cube.
 * `damping` is added to the diagonal first. Undefined where the equations are singular.
 */
export function reduced({ shared, groups, unknowns }: NormalEquations, damping: number): Reduced | undefined {
  const s = unknowns.sharedCount;
  const left = Float64Array.from(shared);
  for (let i = 0; i < s; i++) left[i * s + i]! += damping;
  const eliminated: Reduced['groups'] = [];
  for (const group of groups) {
    const { size, own, met } = group;
    const damped = Float64Array.from(own);
    for (let i = 0; i < size; i++) damped[i * size + i]! += damping;
    const lower = choleskyFactor(damped, size);
    if (!lower) return undefined;
    const half = forward(lower, size, Float64Array.from(group.across), met.length);
    takeOff(left, s, half, size, met);
    eliminated.push({ ...group, lower, half });
  }
  const factor = choleskyFactor(left, s);
  return factor && { factor, groups: eliminated };
}

/** L^-1 times `columns` (size x width, row by row), in place. */
function forward(lower: Float64Array, size: number, columns: Float64Array, width: number): Float64Array {
  for (let i = 0; i < size; i++) {
    for (let k = 0; k < i; k++) {
      const by = lower[i * size + k]!;
      if (by !== 0) for (let m = 0; m < width; m++) columns[i * width + m]! -= by * columns[k * width + m]!;
    }
    for (let m = 0; m < width; m++) columns[i * width + m]! /= lower[i * size + i]!;
  }
  return columns;
}

/** Takes half' half off the lower half of `matrix` (n x n), at the columns `met`. */
function takeOff(matrix: Float64Array, n: number, half: Float64Array, size: number, met: Int32Array): void {
  const t = met.length;
  for (let k = 0; k < size; k++) {
    const row = k * t;
    for (let a = 0; a < t; a++) {
      const by = half[row + a]!;
      if (by === 0) continue;
      const to = met[a]! * n;
      for (let b = 0; b <= a; b++) matrix[to + met[b]!]! -= by * half[row + b]!;
    }
  }
}

/** Solves the equations for a right side (shared unknowns first, then group by group). */
export function solveReduced({ factor, groups }: Reduced, { sharedCount: s }: Unknowns, right: Float64Array) {
  const solution = new Float64Array(right.length);
  const common = right.slice(0, s);
  const halves: Float64Array[] = [];
  let at = s;
  for (const { size, met, lower, half } of groups) {
    const own = forward(lower, size, right.slice(at, at + size), 1);
    for (let k = 0; k < size; k++)
      for (let m = 0; m < met.length; m++) common[met[m]!]! -= half[k * met.length + m]! * own[k]!;
    halves.push(own);
    at += size;
  }
  const x = choleskySolve(factor, s, common);
  solution.set(x);
  at = s;
  for (const [g, { size, met, lower, half }] of groups.entries()) {
    const own = halves[g]!;
    for (let k = 0; k < size; k++)
      for (let m = 0; m < met.length; m++) own[k]! -= half[k * met.length + m]! * x[met[m]!]!;
    solution.set(backward(lower, size, own, 1), at);
    at += size;
  }
  return solution;
}

/** L'^-1 times `columns` (size x width, row by row), in place. */
export function backward(lower: Float64Array, size: number, columns: Float64Array, width: number): Float64Array {
  for (let i = size - 1; i >= 0; i--) {
    for (let k = i + 1; k < size; k++) {
      const by = lower[k * size + i]!;
      if (by !== 0) for (let m = 0; m < width; m++) columns[i * width + m]! -= by * columns[k * width + m]!;
    }
    for (let m = 0; m < width; m++) columns[i * width + m]! /= lower[i * size + i]!;
  }
  return columns;
}
