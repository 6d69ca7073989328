import { fieldShift, fieldSize, type FieldGrid, fieldWeights, type LensField } from '../geometry/lens_field.ts';
import {
  type ProjectionJacobian,
  projectWithJacobian,
  type RotationWithDerivatives,
  rotationWithDerivatives,
} from '../geometry/projection_jacobian.ts';
import type { Pixel, Vector3 } from '../geometry/vector.ts';
import { indices } from './parameters.ts';

/** Where a photo's camera parameters stand in the vector. */
export interface CameraIndex {
  /** 8: focal, centre x, centre y, k1, k2, p1, p2, k3; shared by the photos of one lens */
  lens: number;
  /** the lens's field beyond Brown's model: its coefficients to the right, then those down */
  field: { grid: FieldGrid; at: number };
  /** 3: this photo's own relative change of focal length, and shift of the centre in pixels */
  own: number;
  /** 6: rotation vector, translation */
  pose: number;
  /** 1: how far white bleeds over a tag's edges, mm */
  bleed: number;
}

/** The photo's intrinsics (8) from shared lens and own deviations. */
export function intrinsicsOf(values: ArrayLike<number>, camera: CameraIndex): Float64Array {
  const q = new Float64Array(8);
  for (let i = 0; i < 8; i++) q[i] = values[camera.lens + i]!;
  q[0]! *= 1 + values[camera.own]!;
  q[1]! += values[camera.own + 1]!;
  q[2]! += values[camera.own + 2]!;
  return q;
}

/** The lens's field at these values (a view of them, not a copy). */
export function fieldOf(values: Float64Array, { field: { grid, at } }: CameraIndex): LensField {
  const size = fieldSize(grid);
  return { grid, right: values.subarray(at, at + size), down: values.subarray(at + size, at + 2 * size) };
}

// The last rotation asked for: the blocks of one photo come one after the other and share its pose.
let last = { vector: [0, 0, 0] as Vector3, rotation: rotationWithDerivatives([0, 0, 0]) };

/** The rotation matrix with its derivatives of the rotation vector that stands at `pose`; not to be changed. */
export function rotationOf(values: ArrayLike<number>, pose: number): RotationWithDerivatives {
  const vector: Vector3 = [values[pose]!, values[pose + 1]!, values[pose + 2]!];
  if (!vector.every((v, i) => v === last.vector[i as 0])) last = { vector, rotation: rotationWithDerivatives(vector) };
  return last.rotation;
}

const shift: [number, number] = [0, 0];

/** Fills `out` with a bench point's picture through a camera, the lens's field included; false behind the camera. */
export function projectThrough(
  values: Float64Array,
  camera: CameraIndex,
  rotation: ReturnType<typeof rotationOf>,
  point: ArrayLike<number>,
  out: ProjectionJacobian,
): boolean {
  const translation = values.subarray(camera.pose + 3, camera.pose + 6);
  if (!projectWithJacobian(intrinsicsOf(values, camera), rotation, translation, point, out)) return false;
  fieldShift(fieldOf(values, camera), out.pixel[0]!, out.pixel[1]!, shift);
  out.pixel[0]! += shift[0];
  out.pixel[1]! += shift[1];
  return true;
}

/**
 * Indices of a camera's parameters, in the order `cameraJacobian` writes them: lens 8, own 3, pose 6. The field's,
 * which differ from pixel to pixel, are apart (`fieldParameters`).
 */
export const cameraParameters = (camera: CameraIndex): number[] => [
  ...indices(camera.lens, 8),
  ...indices(camera.own, 3),
  ...indices(camera.pose, 6),
];
export const cameraParameterCount = 17;

/** The field's parameters that move the picture at a pixel, to the right and down, with their (common) derivatives. */
export function fieldParameters({ field: { grid, at } }: CameraIndex, pixel: Pixel) {
  const { index, weight } = fieldWeights(grid, pixel[0], pixel[1]);
  const size = fieldSize(grid);
  return { right: index.map((i) => at + i), down: index.map((i) => at + size + i), weight };
}

/**
 * Fills the first of `row` with one row of the Jacobian by the camera's 17 parameters: `a` and `b` weigh the pixel's x
 * and y (a unit vector for an edge's normal, or (1, 0) and (0, 1)).
 */
export function cameraJacobian(
  values: ArrayLike<number>,
  camera: CameraIndex,
  projection: { byPose: Float64Array; byIntrinsics: Float64Array },
  [a, b]: readonly [number, number],
  row: Float64Array,
): void {
  const q = projection.byIntrinsics;
  const focal = values[camera.lens]!;
  const change = values[camera.own]!;
  for (let i = 0; i < 8; i++) row[i] = (a * q[i]! + b * q[8 + i]!) * (i === 0 ? 1 + change : 1);
  // k1.. scale with this photo's focal length, which byIntrinsics already holds.
  row[8] = (a * q[0]! + b * q[8]!) * focal;
  row[9] = a;
  row[10] = b;
  for (let i = 0; i < 6; i++) row[11 + i] = a * projection.byPose[i]! + b * projection.byPose[6 + i]!;
}
