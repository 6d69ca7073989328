import type { Vector3 } from '../geometry/vector.ts';
import { type ClassName, classNames, type LaneSeen } from './finder/sighting.ts';
import { behindOnPaper, type Lane } from './lane.ts';

/**
 * What the finder took the lane for where the line of sight from a camera at `eye` through a point (bench frame, mm)
 * goes on to the paper; undefined where it did not look, or the photo shows nothing.
 */
export function laneClassBehind(
  { classes: grid }: LaneSeen,
  lane: Lane,
  eye: Vector3,
  point: Vector3,
): ClassName | undefined {
  const { t, v } = behindOnPaper(lane, eye, point);
  const column = Math.round((t - grid.from) / grid.step);
  const row = Math.round((v - grid.across) / grid.step);
  if (column < 0 || row < 0 || column >= grid.columns || row >= grid.rows) return undefined;
  const cell = row * grid.columns + column;
  return grid.certainty[cell] === 0 ? undefined : classNames[grid.classes[cell]!]!;
}
