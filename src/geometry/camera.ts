import { brown, type BrownDistortion, foldsBack, makeBrownImage, undoBrown } from './brown.ts';
import { fieldShift, type LensField } from './lens_field.ts';
import { rotationMatrix, rotationVector } from './rotation.ts';
import {
  addScaled,
  cross,
  dot,
  type Matrix3,
  type Pixel,
  scale,
  subtract,
  transform,
  transpose,
  unit,
  type Vector3,
} from './vector.ts';

/** Pinhole plus Brown distortion and what the lens does beyond it; pixels of the upright photo, square pixels. */
export interface Intrinsics {
  focal: number;
  centre: Pixel;
  /** k1 k2 p1 p2 k3 */
  distortion: BrownDistortion;
  /** added to where Brown's model puts a point; absent: nothing */
  field?: LensField;
}

/** Camera from bench: X_camera = R(rotation) X_bench + translation (mm); z forward, y down in the photo. */
export interface Pose {
  rotation: Vector3;
  translation: Vector3;
}

export interface Camera {
  intrinsics: Intrinsics;
  pose: Pose;
  /** R(pose.rotation), kept beside it because every projection needs it. */
  matrix: Matrix3;
}

export const makeCamera = (intrinsics: Intrinsics, pose: Pose): Camera => ({
  intrinsics,
  pose,
  matrix: rotationMatrix(pose.rotation),
});

/**
 * The pose of a camera at `from` (bench, mm) that looks at `target`, its picture's right-hand side along `right` as far
 * as that goes.
 */
export function poseLooking(from: Vector3, target: Vector3, right: Vector3): Pose {
  const forward = unit(subtract(target, from));
  const across = unit(addScaled(right, forward, -dot(right, forward)));
  const rotation = rotationVector([...across, ...cross(forward, across), ...forward] as unknown as Matrix3);
  return { rotation, translation: scale(transform(rotationMatrix(rotation), from), -1) };
}

/** The camera's centre of projection in the bench frame, mm. */
export const cameraCentre = (camera: Camera): Vector3 =>
  scale(transform(transpose(camera.matrix), camera.pose.translation), -1);

// Kept from call to call: a check projects millions of points.
const image = makeBrownImage();
const shift: [number, number] = [0, 0];

/** Normalised image coordinates (x/z, y/z) to pixels. */
export function distort(intrinsics: Intrinsics, x: number, y: number): Pixel {
  const at = brown(intrinsics.distortion, x, y, image);
  const u = intrinsics.focal * at.x + intrinsics.centre[0];
  const v = intrinsics.focal * at.y + intrinsics.centre[1];
  if (!intrinsics.field) return [u, v];
  fieldShift(intrinsics.field, u, v, shift);
  return [u + shift[0], v + shift[1]];
}

/** Pixels to normalised image coordinates: the inverse of `distort`. */
export function undistort(intrinsics: Intrinsics, pixel: Pixel): Pixel {
  const { focal, centre, distortion, field } = intrinsics;
  let [u, v] = pixel;
  if (field) {
    // The field changes by a hundredth of itself over its own size: two steps leave nothing to be seen.
    for (let step = 0; step < 2; step++) {
      const [du, dv] = fieldShift(field, u, v);
      [u, v] = [pixel[0] - du, pixel[1] - dv];
    }
  }
  return undoBrown(distortion, (u - centre[0]) / focal, (v - centre[1]) / focal);
}

/**
 * Where a bench point (mm) shows in the photo (pixels), or undefined when it lies behind the camera or so far off its
 * axis that the distortion polynomial folds back and would put it inside the frame.
 */
export function project(camera: Camera, point: Vector3): Pixel | undefined {
  const c = transform(camera.matrix, point);
  const z = c[2] + camera.pose.translation[2];
  if (z <= 1e-6) return undefined;
  const [x, y] = [(c[0] + camera.pose.translation[0]) / z, (c[1] + camera.pose.translation[1]) / z];
  return foldsBack(camera.intrinsics.distortion, x * x + y * y) ? undefined : distort(camera.intrinsics, x, y);
}

/** The ray through a pixel: it starts at the camera's centre; direction of unit length; bench frame. */
export function ray(camera: Camera, pixel: Pixel): { origin: Vector3; direction: Vector3 } {
  const [x, y] = undistort(camera.intrinsics, pixel);
  return { origin: cameraCentre(camera), direction: unit(transform(transpose(camera.matrix), [x, y, 1])) };
}

/** Unit direction from a bench point to the camera's centre. */
export const towardCamera = (camera: Camera, point: Vector3): Vector3 => unit(subtract(cameraCentre(camera), point));
