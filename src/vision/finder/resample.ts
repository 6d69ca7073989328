import { distort } from '../../geometry/camera.ts';
import { transform, type Vector3 } from '../../geometry/vector.ts';
import { samplePhoto, type View } from '../strip.ts';
import { acrossAt, type Sheet, sheetScale } from './sheet.ts';

/** A picture as the networks take it: red, green, blue, each `rows` x `width`, row by row, 0..1; black where there is none. */
export interface Planes {
  rows: number;
  width: number;
  /** how many of the columns are the sheet's; the rest is black, to a width that the network can halve five times */
  columns: number;
  data: Float32Array;
}

/** Both networks halve their picture five times. */
const multiple = 32;
/** A sample covers at most this many pixels each way; where the photo is finer, more samples are averaged into one. */
const pixelsPerTap = 1.5;

export const emptyPlanes = (rows: number, columns: number): Planes => {
  const width = Math.ceil(columns / multiple) * multiple;
  return { rows, width, columns, data: new Float32Array(3 * rows * width) };
};

/** Resamples a photo over a sheet: bilinear, and the mean of several taps where the photo is much finer than the sheet. */
export function resample(view: View, sheet: Sheet): Planes {
  const planes = emptyPlanes(sheet.rows, sheet.points.length);
  const { camera, photo } = view;
  const scale = sheetScale(camera, sheet, sheet.points.length / 2) * sheet.step;
  const taps = Math.min(Math.max(Math.ceil(scale / pixelsPerTap), 1), 4);
  const offsets = Array.from({ length: taps }, (_, k) => (k + 0.5) / taps - 0.5);
  const plane = planes.rows * planes.width;
  const t = camera.pose.translation;
  for (let c = 0; c < sheet.points.length; c++) {
    const origin = transform(camera.matrix, sheet.points[c]!);
    const ahead = transform(camera.matrix, stepAlong(sheet, c));
    const aside = transform(camera.matrix, sheet.directions[c]!);
    for (let r = 0; r < sheet.rows; r++) {
      let luma = 0;
      let blue = 0;
      let red = 0;
      for (const dc of offsets)
        for (const dr of offsets) {
          const a = acrossAt(sheet, r + dr);
          const z = origin[2] + dc * ahead[2] + a * aside[2] + t[2];
          const [x, y] = distort(
            camera.intrinsics,
            (origin[0] + dc * ahead[0] + a * aside[0] + t[0]) / z,
            (origin[1] + dc * ahead[1] + a * aside[1] + t[1]) / z,
          );
          const sample = samplePhoto(photo, x, y);
          luma += sample[0];
          blue += sample[1] - 128;
          red += sample[2] - 128;
        }
      // NaN beyond the photo's edge: stays black.
      if (!(luma >= 0)) continue;
      const n = taps * taps;
      putColour(planes.data, r * planes.width + c, plane, [luma / n, blue / n, red / n]);
    }
  }
  return planes;
}

function stepAlong(sheet: Sheet, column: number): Vector3 {
  const c = Math.min(column, sheet.points.length - 2);
  if (c < 0) return [0, 0, 0];
  const [p, q] = [sheet.points[c]!, sheet.points[c + 1]!];
  return [q[0] - p[0], q[1] - p[1], q[2] - p[2]];
}

const level = (value: number): number => Math.min(Math.max(value / 255, 0), 1);

/** Writes luma and colour differences (about 0) as red, green, blue: ITU-R BT.601, full range, as JPEG keeps them. */
function putColour(data: Float32Array, at: number, plane: number, [luma, blue, red]: Vector3): void {
  data[at] = level(luma + 1.402 * red);
  data[at + plane] = level(luma - 0.344136 * blue - 0.714136 * red);
  data[at + 2 * plane] = level(luma + 1.772 * blue);
}
