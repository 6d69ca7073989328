import { axisPoint, axisTangent, type BlankAxis } from '../../geometry/blank_axis.ts';
import { cameraCentre, type Camera } from '../../geometry/camera.ts';
import { addScaled, cross, dot, subtract, unit, type Vector3 } from '../../geometry/vector.ts';

/** A place on the straightened strip of one photo, mm: see `RingSighting`. */
export interface StripPlace {
  along: number;
  across: number;
}

/** Newton's steps at most, and the move (mm) below which a place has been found. */
const newton = { steps: 12, settled: 1e-4 } as const;

/**
 * Where the line of sight through a bench point meets a photo's strip: the surface of all lines through the axis that
 * are square to it and to the line of sight. Newton's steps along the axis from `start` (mm) until the point lies in
 * the plane of the eye and such a line. Undefined for a point that is not before the camera.
 */
export function stripPlace(camera: Camera, axis: BlankAxis, point: Vector3, start: number): StripPlace | undefined {
  const eye = cameraCentre(camera);
  const sight = subtract(point, eye);
  let along = start;
  for (let i = 0; i < newton.steps; i++) {
    const foot = subtract(axisPoint(axis, along), eye);
    const tangent = axisTangent(axis, along);
    const square = addScaled(tangent, foot, -dot(tangent, foot) / dot(foot, foot));
    const depth = dot(sight, foot) / dot(foot, foot);
    if (!(depth > 0)) return undefined;
    const move = dot(sight, square) / depth / dot(square, square);
    if (!Number.isFinite(move)) return undefined;
    along += move;
    if (Math.abs(move) < newton.settled) break;
  }
  const foot = subtract(axisPoint(axis, along), eye);
  const depth = dot(sight, foot) / dot(foot, foot);
  const lateral = unit(cross(axisTangent(axis, along), foot));
  return { along, across: dot(sight, lateral) / depth };
}
