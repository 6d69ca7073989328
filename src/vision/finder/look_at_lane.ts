import { project } from '../../geometry/camera.ts';
import { type Lane, lanePoint } from '../blank_search.ts';
import type { Stretch, View } from '../strip.ts';
import { classGrid } from './class_grid.ts';
import type { Finder } from './finder.ts';
import { tops } from './peaks.ts';
import { type Planes, resample } from './resample.ts';
import { acrossAt, laneSheet, type Sheet, sheetScale } from './sheet.ts';
import type { LaneSeen, TipCandidate } from './sighting.ts';

const stride = 2;
/** The heat map of tips comes first, then the classes. */
const classesAt = 1;
/** How far apart two ends of a blank must lie, mm. */
const tipsApart = 8;

/**
 * Looks at the mat's lane in one photo as the tags lay it flat, knowing nothing of the blank: what lies where, and what looks
 * like the blank's tip end. `index` = the view's place in the caller's list. Undefined where the photo shows none of the lane.
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
    classes: classGrid(output, classesAt, planes, sheet, stride),
  };
}

/** The stretch of the lane whose middle line shows in the photo. */
function laneInView({ photo, camera }: View, lane: Lane): Stretch | undefined {
  let range: Stretch | undefined;
  for (let t = lane.from; t <= lane.to; t += 2) {
    const pixel = project(camera, lanePoint(lane, t, 0, 0));
    const inside =
      pixel !== undefined && pixel[0] >= 0 && pixel[1] >= 0 && pixel[0] < photo.width && pixel[1] < photo.height;
    if (!inside) continue;
    range = { from: range?.from ?? t, to: t };
  }
  return range && range.to - range.from > 20 ? range : undefined;
}

function tipCandidates(output: Float32Array, planes: Planes, sheet: Sheet): TipCandidate[] {
  const rows = planes.rows / stride;
  const columns = planes.width / stride;
  const found: TipCandidate[] = [];
  const all = tops(output.subarray(0, rows * columns), rows, columns).toSorted((a, b) => b.score - a.score);
  for (const { row, column, score } of all) {
    const t = sheet.from + ((column + 0.5) * stride - 0.5) * sheet.step;
    const v = acrossAt(sheet, (row + 0.5) * stride - 0.5);
    if (!found.some((other) => Math.hypot(other.t - t, other.v - v) < tipsApart)) found.push({ t, v, score });
  }
  return found;
}
