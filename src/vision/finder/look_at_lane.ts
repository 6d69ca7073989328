import type { Stretch } from '../../plan/stretch.ts';
import { project } from '../../geometry/camera.ts';
import { isInPhoto, noBorder } from '../../geometry/in_photo.ts';
import { type Lane, lanePoint } from '../lane.ts';
import type { View } from '../strip.ts';
import { classGrid } from './class_grid.ts';
import type { Finder } from './finder.ts';
import { tops } from './peaks.ts';
import { type Planes, resample } from './resample.ts';
import { acrossAt, laneSheet, type Sheet, sheetScale } from './sheet.ts';
import type { LaneSeen, TipCandidate } from './sighting.ts';

/** The lane network's output: a cell every `stride` samples; the heat map of tips comes first, then the classes. */
export const laneOutput = { stride: 2, classesAt: 1 };
/** What is worth looking at, and how far apart two ends of a blank must lie. */
const looking = { shortest: 20 /* mm of lane */, tipsApart: 16 /* samples */ } as const;

/**
 * Looks at the mat's lane in one photo as the tags lay it flat, knowing nothing of the blank: what lies where, and what
 * looks like the blank's tip end. `index` = the view's place in the caller's list. Undefined where the photo shows none
 * of the lane.
 */
export function lookAtLane(finder: Finder, view: View, index: number, lane: Lane): LaneSeen | undefined {
  const range = laneInView(view, lane);
  if (!range) return undefined;
  const sheet = laneSheet(lane, range);
  const planes = resample(view, sheet);
  const output = finder.lane.run(planes.data, planes.width, planes.rows);
  return {
    view: index,
    pixelsPerMm: sheetScale(view.camera, sheet, sheet.points.length / 2),
    tips: tipCandidates(output, planes, sheet),
    classes: classGrid(output, laneOutput.classesAt, planes, sheet, laneOutput.stride),
  };
}

/** The stretch of the lane whose middle line shows in the photo. */
function laneInView({ photo, camera }: View, lane: Lane): Stretch | undefined {
  let range: Stretch | undefined;
  for (let t = lane.from; t <= lane.to; t += 2) {
    const pixel = project(camera, lanePoint(lane, t, 0, 0));
    if (!pixel || !isInPhoto(photo, pixel, noBorder)) continue;
    range = { from: range?.from ?? t, to: t };
  }
  return range && range.to - range.from > looking.shortest ? range : undefined;
}

function tipCandidates(output: Float32Array, planes: Planes, sheet: Sheet): TipCandidate[] {
  return tipPeaks(output, planes).map(({ column, row, score }) => ({
    t: sheet.from + column * sheet.step,
    v: acrossAt(sheet, row),
    score,
  }));
}

/**
 * What looks like the blank's tip end by the lane network's output, the surest first; places in the picture's samples.
 */
export function tipPeaks(output: Float32Array, planes: Planes): { column: number; row: number; score: number }[] {
  const { stride } = laneOutput;
  const rows = planes.rows / stride;
  const columns = planes.width / stride;
  const found: { column: number; row: number; score: number }[] = [];
  const all = tops(output.subarray(0, rows * columns), rows, columns).toSorted((a, b) => b.score - a.score);
  for (const cell of all) {
    const column = (cell.column + 0.5) * stride - 0.5;
    const row = (cell.row + 0.5) * stride - 0.5;
    const near = found.some((other) => Math.hypot(other.column - column, other.row - row) < looking.tipsApart);
    if (!near && column < planes.columns) found.push({ column, row, score: cell.score });
  }
  return found;
}
