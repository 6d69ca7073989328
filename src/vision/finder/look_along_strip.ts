import type { Stretch } from '../../plan/stretch.ts';
import type { BlankAxis } from '../../geometry/blank_axis.ts';
import { project } from '../../geometry/camera.ts';
import { type View, visibleStretch } from '../strip.ts';
import { classGrid } from './class_grid.ts';
import type { Finder } from './finder.ts';
import { type Peak, stripClassesAt, stripPeaks, stripStride } from './peaks.ts';
import { resample } from './resample.ts';
import { acrossAt, type Sheet, sheetPoint, sheetScale, stripSheet } from './sheet.ts';
import type { RingSighting, StripSeen } from './sighting.ts';

/**
 * Looks along the blank in one photo, knowing the camera and the axis but no plan: rings, tip-tops and snake guides
 * with a centre, and what lies where. `range` = arc lengths to look at, mm (it may begin before the tip); `index` = the
 * view's place in the caller's list. Undefined where the photo shows none of it.
 */
export function lookAlongStrip(
  finder: Finder,
  view: View,
  index: number,
  axis: BlankAxis,
  range: Stretch,
): StripSeen | undefined {
  const covers = visibleStretch(view, axis, range);
  if (!covers) return undefined;
  const sheet = stripSheet(view.camera, axis, covers);
  const planes = resample(view, sheet);
  const output = finder.strip.run(planes.data, planes.width, planes.rows);
  return {
    view: index,
    covers,
    pixelsPerMm: sheetScale(view.camera, sheet, sheet.points.length / 2),
    sightings: stripPeaks(output, planes).flatMap((peak) => sightingOf(peak, view, index, sheet) ?? []),
    classes: classGrid(output, stripClassesAt, planes, sheet, stripStride),
  };
}

function sightingOf(peak: Peak, view: View, index: number, sheet: Sheet): RingSighting | undefined {
  const pixel = project(view.camera, sheetPoint(sheet, peak.row, peak.column));
  if (!pixel) return undefined;
  return {
    view: index,
    kind: peak.kind,
    score: peak.score,
    along: sheet.from + peak.column * sheet.step,
    across: acrossAt(sheet, peak.row),
    pixel,
    radius: peak.radius * sheet.step,
    footToward: peak.footToward,
  };
}
