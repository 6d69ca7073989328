import type { Planes } from './resample.ts';
import { acrossAt, type Sheet } from './sheet.ts';
import { type ClassGrid, classNames } from './sighting.ts';

/** A logit so far behind the likeliest adds nothing that a 256th could show. */
const tooFar = -12;

/** The likeliest class of each cell, from the classes' logits in a network's output (from channel `first` on). */
export function likeliestClasses(
  output: Float32Array,
  first: number,
  planes: Planes,
  stride: number,
): Pick<ClassGrid, 'rows' | 'columns' | 'classes' | 'certainty'> {
  const rows = planes.rows / stride;
  const width = planes.width / stride;
  const columns = Math.ceil(planes.columns / stride);
  const cells = rows * width;
  const classes = new Uint8Array(rows * columns);
  const certainty = new Uint8Array(rows * columns);
  const middle = stride >> 1;
  for (let row = 0; row < rows; row++)
    for (let column = 0; column < columns; column++) {
      const at = first * cells + row * width + column;
      let best = 0;
      let highest = output[at]!;
      for (let k = 1; k < classNames.length; k++)
        if (output[at + k * cells]! > highest) {
          best = k;
          highest = output[at + k * cells]!;
        }
      const to = row * columns + column;
      classes[to] = best;
      if (isBlack(planes, row * stride + middle, column * stride + middle)) continue;
      let sum = 0;
      for (let k = 0; k < classNames.length; k++) {
        const behind = output[at + k * cells]! - highest;
        if (behind > tooFar) sum += Math.exp(behind);
      }
      certainty[to] = Math.round(255 / sum);
    }
  return { rows, columns, classes, certainty };
}

function isBlack({ data, rows, width }: Planes, row: number, column: number): boolean {
  const at = row * width + column;
  return data[at] === 0 && data[at + rows * width] === 0 && data[at + 2 * rows * width] === 0;
}

/** The grid with its places on the sheet. */
export function classGrid(
  output: Float32Array,
  first: number,
  planes: Planes,
  sheet: Sheet,
  stride: number,
): ClassGrid {
  return {
    from: sheet.from + ((stride - 1) / 2) * sheet.step,
    across: acrossAt(sheet, (stride - 1) / 2),
    step: stride * sheet.step,
    ...likeliestClasses(output, first, planes, stride),
  };
}
