import { type Camera, distort } from '../../geometry/camera.ts';
import { transform } from '../../geometry/vector.ts';
import {
  addAlongLine,
  addColourAlongLine,
  colourPlanes,
  type Coloured,
  halfSizeLine,
  lumaPlane,
  type Plane,
} from '../sampling.ts';
import { blueOf, greenOf, noColour, redOf } from '../../photo/luma.ts';
import { heldOf } from '../../photo/photo.ts';
import type { View } from '../strip.ts';
import { acrossAt, type Sheet, sheetPoint, sheetScale } from './sheet.ts';

/**
 * A picture as the networks take it: red, green, blue, each `rows` x `width`, row by row, 0..1; black where there is
 * none.
 */
export interface Planes {
  rows: number;
  width: number;
  /** how many of the columns are the sheet's; the rest is black, to a width that the network can halve five times */
  columns: number;
  data: Float32Array;
}

/** The networks halve their picture five times. */
const multiple = 32;
/** A sample covers at most this many pixels each way; where the photo is finer, more samples are averaged into one. */
const pixelsPerTap = 1.5;

export const emptyPlanes = (rows: number, columns: number): Planes => {
  const width = Math.ceil(columns / multiple) * multiple;
  return { rows, width, columns, data: new Float32Array(3 * rows * width) };
};

/** Between places this many rows apart a straight line across shows evenly spaced, to a thousandth of a pixel. */
const nodeRows = 16;

/**
 * Resamples a photo over a sheet: bilinear, and the mean of several taps where the photo is much finer than the sheet.
 */
export function resample(view: View, sheet: Sheet): Planes {
  const planes = emptyPlanes(sheet.rows, sheet.points.length);
  const scale = sheetScale(view.camera, sheet, sheet.points.length / 2) * sheet.step;
  const taps = Math.min(Math.max(Math.ceil(scale / pixelsPerTap), 1), 4);
  const offsets = Array.from({ length: taps }, (_, k) => (k + 0.5) / taps - 0.5);
  const share = 1 / (taps * taps);
  const sums = columnSums(sheet.rows);
  const photo = { ...heldOf(view.photo), luma: lumaPlane(view.photo), colour: colourPlanes(view.photo, 'nearest') };
  for (let c = 0; c < sheet.points.length; c++) {
    for (const sum of [sums.luma, sums.colour.blue, sums.colour.red]) sum.fill(0);
    for (const along of offsets) addColumn(photo, columnNodes(view.camera, sheet, c, along), offsets, sums);
    writeColumn(planes, c, sums, share);
  }
  return planes;
}

/** Sums of a photo's samples, a number a row of one column. */
interface ColumnSums {
  luma: Float64Array;
  colour: Coloured<Float64Array>;
}

const columnSums = (rows: number): ColumnSums => ({
  luma: new Float64Array(rows),
  colour: { blue: new Float64Array(rows), red: new Float64Array(rows) },
});

/** Writes a column's colours: the sums, to be multiplied by `share`. */
function writeColumn(
  { data, rows, width }: Planes,
  column: number,
  { luma: lumaOf, colour }: ColumnSums,
  share: number,
): void {
  const plane = rows * width;
  for (let r = 0; r < rows; r++) {
    const luma = lumaOf[r]! * share;
    // NaN beyond the photo's edge: stays black.
    if (!(luma >= 0)) continue;
    const blue = colour.blue[r]! * share - noColour;
    const red = colour.red[r]! * share - noColour;
    const at = r * width + column;
    data[at] = level(redOf(luma, red));
    data[at + plane] = level(greenOf(luma, blue, red));
    data[at + 2 * plane] = level(blueOf(luma, blue));
  }
}

/** Pixels (x, y, x, y, ...) of every `nodeRows`th row of the line `along` columns beside a column. */
function columnNodes(camera: Camera, sheet: Sheet, column: number, along: number): Float64Array {
  const t = camera.pose.translation;
  const origin = transform(camera.matrix, sheetPoint(sheet, sheet.rows / 2, column + along));
  const aside = transform(camera.matrix, sheet.directions[column]!);
  const count = sheet.rows / nodeRows + 1;
  const nodes = new Float64Array(2 * count);
  for (let k = 0; k < count; k++) {
    const a = acrossAt(sheet, k * nodeRows);
    const z = origin[2] + a * aside[2] + t[2];
    const x = (origin[0] + a * aside[0] + t[0]) / z;
    [nodes[2 * k], nodes[2 * k + 1]] = distort(camera.intrinsics, x, (origin[1] + a * aside[1] + t[1]) / z);
  }
  return nodes;
}

/** What of a photo is held: where, and its planes. */
interface HeldPlanes {
  left: number;
  top: number;
  luma: Plane;
  colour: Coloured<Plane>;
}

/** Adds a photo's samples along a line, at these offsets beside each place. */
function addColumn(
  { left, top, luma, colour }: HeldPlanes,
  nodes: Float64Array,
  offsets: readonly number[],
  sums: ColumnSums,
): void {
  for (let k = 0; k + 3 < nodes.length; k += 2) {
    const dx = (nodes[k + 2]! - nodes[k]!) / nodeRows;
    const dy = (nodes[k + 3]! - nodes[k + 1]!) / nodeRows;
    const first = (k / 2) * nodeRows;
    for (const offset of offsets) {
      line[0] = nodes[k]! + offset * dx - left;
      line[1] = nodes[k + 1]! + offset * dy - top;
      line[2] = dx;
      line[3] = dy;
      addAlongLine(luma, line, nodeRows, sums.luma, first);
      halfSizeLine(line);
      addColourAlongLine(colour, line, nodeRows, sums.colour, first);
    }
  }
}

// Kept from call to call: a strip has a thousand columns of a dozen such lines.
const line = new Float64Array(4);

const level = (value: number): number => Math.min(Math.max(value / 255, 0), 1);
