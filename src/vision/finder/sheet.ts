import type { Stretch } from '../../plan/stretch.ts';
import { type BlankAxis, axisPoint, axisTangent } from '../../geometry/blank_axis.ts';
import { type Camera, cameraCentre, project } from '../../geometry/camera.ts';
import { addScaled, cross, subtract, unit, type Vector3 } from '../../geometry/vector.ts';
import { type Lane, lanePoint } from '../lane.ts';
import type { AxisStation } from '../outline.ts';
import { tipRimDirection } from '../tip.ts';

/**
 * A ruled surface to look at: a straight line across each column. Sample (row, column) is the bench point
 * `points[column] + acrossAt(row) * directions[column]`; columns lie `step` apart from `from` on, mm.
 */
export interface Sheet {
  from: number;
  step: number;
  rows: number;
  points: Vector3[];
  directions: Vector3[];
}

/**
 * Millimetres across from the middle of a sheet at a row, whole or not: the row after the first half lies in the
 * middle.
 */
export const acrossAt = (sheet: Sheet, row: number): number => (row - sheet.rows / 2) * sheet.step;

/**
 * What the strip network was trained on; half width 33.5 mm: a ring high on a large guide stands up to 26 mm off the
 * axis.
 */
export const stripSampling = { step: 0.3, rows: 224 };
/** What the lane network was trained on; half width 64 mm: the white lane and a little of the tags. */
export const laneSampling = { step: 0.5, rows: 256 };

/** What the tip network was trained on: 40 mm along the blank, half width 4 mm, an end anywhere well within it. */
export const tipSampling = { step: 0.125, rows: 64, columns: 320 };

/**
 * A straight piece of the blank about its end, as the camera sees it: through the point of the end's rim that bounds it
 * there, square to the line of sight across.
 */
export function tipSheet(camera: Camera, end: AxisStation): Sheet {
  const { step, rows, columns } = tipSampling;
  const centre = cameraCentre(camera);
  const across = unit(cross(end.along, subtract(end.point, centre)));
  const rim = addScaled(end.point, tipRimDirection(end, centre), end.radius);
  const from = (-columns / 2) * step;
  const points = Array.from({ length: columns }, (_, c) => addScaled(rim, end.along, from + c * step));
  return { from, step, rows, points, directions: points.map(() => across) };
}

/**
 * The blank's axis widened across the line of sight: directions are square to the axis and to the ray from the camera,
 * to the right as seen from the butt.
 */
export function stripSheet(camera: Camera, axis: BlankAxis, range: Stretch): Sheet {
  const { step, rows } = stripSampling;
  const centre = cameraCentre(camera);
  const columns = Math.max(Math.floor((range.to - range.from) / step) + 1, 1);
  const points: Vector3[] = [];
  const directions: Vector3[] = [];
  for (let c = 0; c < columns; c++) {
    const s = range.from + c * step;
    const point = axisPoint(axis, s);
    points.push(point);
    directions.push(unit(cross(axisTangent(axis, s), subtract(point, centre))));
  }
  return { from: range.from, step, rows, points, directions };
}

/** The lane flat on the paper, z = 0, over a stretch of its t. */
export function laneSheet(lane: Lane, range: Stretch): Sheet {
  const { step, rows } = laneSampling;
  const columns = Math.max(Math.floor((range.to - range.from) / step) + 1, 1);
  const across: Vector3 = [-lane.direction[1], lane.direction[0], 0];
  const points = Array.from({ length: columns }, (_, c) => lanePoint(lane, range.from + c * step, 0, 0));
  return { from: range.from, step, rows, points, directions: points.map(() => across) };
}

/** The bench point at a place of the sheet, both coordinates whole or not. */
export function sheetPoint(sheet: Sheet, row: number, column: number): Vector3 {
  const last = Math.max(sheet.points.length - 2, 0);
  const c = Math.min(Math.max(Math.floor(column), 0), last);
  const next = Math.min(c + 1, sheet.points.length - 1);
  const point = addScaled(sheet.points[c]!, subtract(sheet.points[next]!, sheet.points[c]!), column - c);
  return addScaled(point, sheet.directions[c]!, acrossAt(sheet, row));
}

/** Photo pixels per mm along the sheet's middle line at a column. */
export function sheetScale(camera: Camera, sheet: Sheet, column: number): number {
  const middle = sheet.rows / 2;
  const a = project(camera, sheetPoint(sheet, middle, column));
  const b = project(camera, sheetPoint(sheet, middle, column + 1));
  return a && b ? Math.hypot(a[0] - b[0], a[1] - b[1]) / sheet.step : 0;
}
