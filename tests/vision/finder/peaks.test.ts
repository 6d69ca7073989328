import { describe, expect, test } from 'vitest';
import { stripPeaks, stripStride } from '../../../src/vision/finder/peaks.ts';
import { emptyPlanes } from '../../../src/vision/finder/resample.ts';

const rows = 32;
const columns = 200;
const planes = emptyPlanes(rows, columns);
const [cellRows, cellColumns] = [planes.rows / stripStride, planes.width / stripStride];
const cells = cellRows * cellColumns;

/** The network's output where it is sure of rings at these cells of the middle row, all of one radius (samples). */
function ringsAt(cellsAlong: readonly number[], radius: number): Float32Array {
  const output = new Float32Array(22 * cells).fill(-8, 0, 3 * cells);
  output.fill(Math.log2(radius / 10), 3 * cells, 4 * cells);
  output.fill(0, 4 * cells, 8 * cells);
  for (const cell of cellsAlong) output[(cellRows >> 1) * cellColumns + cell] = 3;
  return output;
}

const told = (cellsAlong: readonly number[], radius: number): number[] =>
  stripPeaks(ringsAt(cellsAlong, radius), planes)
    .map(({ column }) => column)
    .toSorted((a, b) => a - b);

describe('centres on a strip', () => {
  test('are told in samples, the middle of their cell', () => {
    expect(told([10, 25], 6)).toEqual([10 * stripStride + 1.5, 25 * stripStride + 1.5]);
  });

  test('are not told where the ends of the strip cut what is there', () => {
    const last = columns / stripStride - 1;
    expect(told([0, 20, last], 6)).toEqual([20 * stripStride + 1.5]);
    // small enough to lie within the strip by more than half
    expect(told([0, 20, last], 2.5)).toHaveLength(3);
    expect(told([5, last - 5], 60)).toEqual([]);
    expect(told([8, last - 8], 60)).toHaveLength(2);
  });

  test('beyond the strip, where the picture is only filled up, are none', () => {
    expect(planes.width).toBeGreaterThan(columns);
    expect(told([columns / stripStride], 2)).toEqual([]);
  });
});
