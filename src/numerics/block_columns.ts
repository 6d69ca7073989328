import type { BlockColumns } from './unknowns.ts';

/** Columns of a block's Jacobian that are not all zero. */
export interface Columns {
  count: number;
  /** column among the shared unknowns, or in the group */
  at: Int32Array;
  /** place among the shared unknowns that the group meets */
  met: Int32Array;
  /** the block's rows of one column after the other */
  element: Float64Array;
}

/** Room for so many columns, and for so many elements in all. */
export const makeColumns = (count: number, size: number): Columns => ({
  count: 0,
  at: new Int32Array(count),
  met: new Int32Array(count),
  element: new Float64Array(size),
});

/** Sorts what is not zero of a block's columns, `size` rows, into those of shared unknowns and those of its group. */
export function splitColumns(
  jacobian: Float64Array,
  size: number,
  { column, met }: BlockColumns,
  common: Columns,
  own: Columns,
): void {
  const width = column.length;
  common.count = 0;
  own.count = 0;
  for (let a = 0; a < width; a++) {
    if (column[a]! < 0) continue;
    const list = met[a]! < 0 ? own : common;
    const { element, count } = list;
    const to = count * size;
    let isZero = true;
    for (let k = 0; k < size; k++) {
      const value = jacobian[k * width + a]!;
      if (value !== 0) isZero = false;
      element[to + k] = value;
    }
    if (isZero) continue;
    list.at[count] = column[a]!;
    list.met[count] = met[a]!;
    list.count = count + 1;
  }
}

/** A block's rows: what each weighs, what it misses, and room for one column so weighed. */
interface Weighing {
  weights: Float64Array;
  left: Float64Array;
  residuals: Float64Array;
}

/** A matrix, n x n row by row, with its gradient. */
interface NormalPart {
  matrix: Float64Array;
  size: number;
  gradient: Float64Array;
}

/** Adds a block's share to the lower half of a matrix and to its gradient, to each element row by row. */
export function addColumns(
  columns: Columns,
  size: number,
  { weights, left, residuals }: Weighing,
  part: NormalPart,
): void {
  if (size === 1) return addRow(columns, weights[0]!, residuals[0]!, part);
  const { count, at, element } = columns;
  const { matrix, size: n, gradient } = part;
  for (let a = 0; a < count; a++) {
    const i = at[a]!;
    let slope = gradient[i]!;
    for (let k = 0; k < size; k++) {
      const weighed = weights[k]! * element[a * size + k]!;
      left[k] = weighed;
      slope += weighed * residuals[k]!;
    }
    gradient[i] = slope;
    for (let b = 0; b <= a; b++) {
      const j = at[b]!;
      const place = i >= j ? i * n + j : j * n + i;
      let sum = matrix[place]!;
      for (let k = 0; k < size; k++) sum += left[k]! * element[b * size + k]!;
      matrix[place] = sum;
    }
  }
}

/** The same of a block of one row, of which fits have thousands. */
function addRow(
  { count, at, element }: Columns,
  weight: number,
  residual: number,
  { matrix, size: n, gradient }: NormalPart,
): void {
  for (let a = 0; a < count; a++) {
    const i = at[a]!;
    const left = weight * element[a]!;
    gradient[i]! += left * residual;
    for (let b = 0; b <= a; b++) {
      const j = at[b]!;
      matrix[i >= j ? i * n + j : j * n + i]! += left * element[b]!;
    }
  }
}

/** Adds what a block ties of its group's unknowns to the shared ones, size x met, to each element row by row. */
export function addAcross(
  own: Columns,
  common: Columns,
  size: number,
  { weights, left }: Weighing,
  { across, met }: { across: Float64Array; met: Int32Array },
): void {
  for (let a = 0; a < own.count; a++) {
    const row = own.at[a]! * met.length;
    for (let k = 0; k < size; k++) left[k] = weights[k]! * own.element[a * size + k]!;
    for (let b = 0; b < common.count; b++) {
      const place = row + common.met[b]!;
      let sum = across[place]!;
      for (let k = 0; k < size; k++) sum += left[k]! * common.element[b * size + k]!;
      across[place] = sum;
    }
  }
}
