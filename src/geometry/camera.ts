import { rotationMatrix } from './rotation.ts';
import { type Matrix3, type Pixel, scale, subtract, transform, transpose, unit, type Vector3 } from './vector.ts';

/** Pinhole plus Brown distortion, in OpenCV's order; pixels of the upright photo, square pixels. */
export interface Intrinsics {
  focal: number;
  centre: Pixel;
  /** k1 k2 p1 p2 k3 */
  distortion: readonly [number, number, number, number, number];
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

/** The camera's centre of projection in the bench frame, mm. */
export const cameraCentre = (camera: Camera): Vector3 =>
  scale(transform(transpose(camera.matrix), camera.pose.translation), -1);

/** Normalised image coordinates (x/z, y/z) to pixels: Brown 1971 as OpenCV's calib3d states it. */
export function distort(intrinsics: Intrinsics, x: number, y: number): Pixel {
  const [k1, k2, p1, p2, k3] = intrinsics.distortion;
  const r2 = x * x + y * y;
  const radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3));
  return [
    intrinsics.focal * (x * radial + 2 * p1 * x * y + p2 * (r2 + 2 * x * x)) + intrinsics.centre[0],
    intrinsics.focal * (y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y) + intrinsics.centre[1],
  ];
}

/** Pixels to normalised image coordinates: the inverse of `distort` by Newton's iteration. */
export function undistort(intrinsics: Intrinsics, pixel: Pixel): Pixel {
  const [k1, k2, p1, p2, k3] = intrinsics.distortion;
  const u = (pixel[0] - intrinsics.centre[0]) / intrinsics.focal;
  const v = (pixel[1] - intrinsics.centre[1]) / intrinsics.focal;
  let x = u;
  let y = v;
  for (let i = 0; i < 20; i++) {
    const r2 = x * x + y * y;
    const radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3));
    const slope = 2 * (k1 + r2 * (2 * k2 + 3 * r2 * k3));
    const missX = u - x * radial - 2 * p1 * x * y - p2 * (r2 + 2 * x * x);
    const missY = v - y * radial - p1 * (r2 + 2 * y * y) - 2 * p2 * x * y;
    const xx = radial + slope * x * x + 2 * p1 * y + 6 * p2 * x;
    const xy = slope * x * y + 2 * p1 * x + 2 * p2 * y;
    const yy = radial + slope * y * y + 6 * p1 * y + 2 * p2 * x;
    const determinant = xx * yy - xy * xy;
    // Where the polynomial folds back there is no way to go; a plain step leads out of there.
    const [dx, dy] =
      determinant > 0.05
        ? [(yy * missX - xy * missY) / determinant, (xx * missY - xy * missX) / determinant]
        : [missX, missY];
    x += dx;
    y += dy;
    if (Math.abs(dx) + Math.abs(dy) < 1e-12) break;
  }
  return [x, y];
}

/**
 * Where a bench point (mm) shows in the photo (pixels), or undefined when it lies behind the camera or so far off its axis
 * that the distortion polynomial folds back and would put it inside the frame.
 */
export function project(camera: Camera, point: Vector3): Pixel | undefined {
  const c = transform(camera.matrix, point);
  const z = c[2] + camera.pose.translation[2];
  if (z <= 1e-6) return undefined;
  const [k1, k2, , , k3] = camera.intrinsics.distortion;
  const r2 = ((c[0] + camera.pose.translation[0]) / z) ** 2 + ((c[1] + camera.pose.translation[1]) / z) ** 2;
  if (r2 > 0.6 && 1 + r2 * (3 * k1 + r2 * (5 * k2 + r2 * 7 * k3)) < 0.3) return undefined;
  return distort(camera.intrinsics, (c[0] + camera.pose.translation[0]) / z, (c[1] + camera.pose.translation[1]) / z);
}

/** The ray through a pixel: it starts at the camera's centre; direction of unit length; bench frame. */
export function ray(camera: Camera, pixel: Pixel): { origin: Vector3; direction: Vector3 } {
  const [x, y] = undistort(camera.intrinsics, pixel);
  return { origin: cameraCentre(camera), direction: unit(transform(transpose(camera.matrix), [x, y, 1])) };
}

/** Unit direction from a bench point to the camera's centre. */
export const towardCamera = (camera: Camera, point: Vector3): Vector3 => unit(subtract(cameraCentre(camera), point));
