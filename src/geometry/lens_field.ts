import { cubicWeight, cubicWeights } from './spline.ts';

/**
 * What a lens does beyond Brown's model: a smooth shift of the picture, the same for all photos of one lens, as a
 * bicubic uniform B-spline over the photo (de Boor 1978; Schoeps, Larsson, Pollefeys, Sattler, "Why having 10,000
 * parameters in your camera model is better than twelve", CVPR 2020, for splines as lens models). Plain data.
 */
export interface LensField {
  grid: FieldGrid;
  /** shift right and down at each coefficient, pixels, row by row, (columns + 3) x (rows + 3) */
  right: ArrayLike<number>;
  down: ArrayLike<number>;
}

/** The photo the spline spans (pixels) and its cells. */
export interface FieldGrid {
  width: number;
  height: number;
  columns: number;
  rows: number;
}

/** Cells over the photo's longer and shorter side: what phones correct varies over a quarter of the picture. */
const cells = { longer: 4, shorter: 3 };

/** The grid of a lens's field over photos of a size. */
export const fieldGridOf = (width: number, height: number): FieldGrid => ({
  width,
  height,
  columns: width >= height ? cells.longer : cells.shorter,
  rows: width >= height ? cells.shorter : cells.longer,
});

/** How many coefficients each direction has. */
export const fieldSize = ({ columns, rows }: FieldGrid): number => (columns + 3) * (rows + 3);

/** The cell and the place in it of a coordinate; beyond the photo's edge that edge counts. */
const cellOf = (at: number, size: number, count: number): { cell: number; u: number } => {
  const place = Math.min(Math.max((at / size) * count, 0), count);
  const cell = Math.min(Math.floor(place), count - 1);
  return { cell, u: place - cell };
};

/** The sixteen coefficients that matter at a pixel, by index, with their weights. */
export function fieldWeights(grid: FieldGrid, x: number, y: number): { index: number[]; weight: number[] } {
  const across = cellOf(x, grid.width, grid.columns);
  const down = cellOf(y, grid.height, grid.rows);
  const p = cubicWeights(across.u);
  const q = cubicWeights(down.u);
  const index: number[] = [];
  const weight: number[] = [];
  for (let j = 0; j < 4; j++) {
    for (let i = 0; i < 4; i++) {
      index.push((down.cell + j) * (grid.columns + 3) + across.cell + i);
      weight.push(p[i as 0] * q[j as 0]);
    }
  }
  return { index, weight };
}

/** The field's shift at a pixel, pixels; into `out`, where one is kept from call to call. */
export function fieldShift(
  { grid, right, down }: LensField,
  x: number,
  y: number,
  out: [number, number] = [0, 0],
): [number, number] {
  const pitch = grid.columns + 3;
  // As `cellOf` and `cubicWeights`, without lists: every projection asks.
  const placeAcross = Math.min(Math.max((x / grid.width) * grid.columns, 0), grid.columns);
  const placeDown = Math.min(Math.max((y / grid.height) * grid.rows, 0), grid.rows);
  const column = Math.min(Math.floor(placeAcross), grid.columns - 1);
  const row = Math.min(Math.floor(placeDown), grid.rows - 1);
  const u = placeAcross - column;
  const a = cubicWeight(0, u);
  const b = cubicWeight(1, u);
  const c = cubicWeight(2, u);
  const d = cubicWeight(3, u);
  const v = placeDown - row;
  let dx = 0;
  let dy = 0;
  for (let j = 0; j < 4; j++) {
    const at = (row + j) * pitch + column;
    const by = cubicWeight(j as 0, v);
    dx += by * (a * right[at]! + b * right[at + 1]! + c * right[at + 2]! + d * right[at + 3]!);
    dy += by * (a * down[at]! + b * down[at + 1]! + c * down[at + 2]! + d * down[at + 3]!);
  }
  out[0] = dx;
  out[1] = dy;
  return out;
}
