import type { Vector3 } from '../geometry/vector.ts';
import { type ClassName, classNames, type LaneSeen } from './finder/sighting.ts';
import type { Lane } from './lane.ts';

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
  const onward = eye[2] / (eye[2] - point[2]);
  const x = eye[0] + (point[0] - eye[0]) * onward - lane.origin[0];
  const y = eye[1] + (point[1] - eye[1]) * onward - lane.origin[1];
  const [dx, dy] = lane.direction;
  const column = Math.round((x * dx + y * dy - grid.from) / grid.step);
  const row = Math.round((y * dx - x * dy - grid.across) / grid.step);
  if (column < 0 || row < 0 || column >= grid.columns || row >= grid.rows) return undefined;
  const cell = row * grid.columns + column;
  return grid.certainty[cell] === 0 ? undefined : classNames[grid.classes[cell]!]!;
}
