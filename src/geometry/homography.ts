import { choleskyFactor, choleskySolve } from '../numerics/cholesky.ts';
import { rotationVector } from './rotation.ts';
import type { Pose } from './camera.ts';
import { cross, type Matrix3, multiply, type Pixel, scale, unit, type Vector3 } from './vector.ts';

/**
 * The homography that takes plane points to image points, at least four of each, by the normalised direct linear
 * transform (Hartley and Zisserman, "Multiple View Geometry", 2004, algorithm 4.2) with the last element fixed at 1.
 * Undefined when the points do not determine one.
 */
export function fitHomography(from: readonly Pixel[], to: readonly Pixel[]): Matrix3 | undefined {
  if (from.length < 4) return undefined;
  const a = normalisation(from);
  const b = normalisation(to);
  const n = 8;
  const normal = new Float64Array(n * n);
  const right = new Float64Array(n);
  for (let i = 0; i < from.length; i++) {
    const [x, y] = [(from[i]![0] - a.cx) * a.k, (from[i]![1] - a.cy) * a.k];
    const [u, v] = [(to[i]![0] - b.cx) * b.k, (to[i]![1] - b.cy) * b.k];
    for (const [row, value] of [
      [[x, y, 1, 0, 0, 0, -u * x, -u * y], u],
      [[0, 0, 0, x, y, 1, -v * x, -v * y], v],
    ] as [number[], number][]) {
      for (let r = 0; r < n; r++) {
        right[r]! += row[r]! * value;
        for (let c = 0; c < n; c++) normal[r * n + c]! += row[r]! * row[c]!;
      }
    }
  }
  const factor = choleskyFactor(normal, n);
  if (!factor) return undefined;
  const h = choleskySolve(factor, n, right);
  const m: Matrix3 = [h[0]!, h[1]!, h[2]!, h[3]!, h[4]!, h[5]!, h[6]!, h[7]!, 1];
  // to = B^-1 M A from
  const A: Matrix3 = [a.k, 0, -a.k * a.cx, 0, a.k, -a.k * a.cy, 0, 0, 1];
  const B: Matrix3 = [1 / b.k, 0, b.cx, 0, 1 / b.k, b.cy, 0, 0, 1];
  return multiply(multiply(B, m), A);
}

function normalisation(points: readonly Pixel[]): { cx: number; cy: number; k: number } {
  const cx = points.reduce((s, p) => s + p[0], 0) / points.length;
  const cy = points.reduce((s, p) => s + p[1], 0) / points.length;
  const mean = points.reduce((s, p) => s + Math.hypot(p[0] - cx, p[1] - cy), 0) / points.length;
  return { cx, cy, k: mean > 0 ? Math.SQRT2 / mean : 1 };
}

/**
 * Camera from plane: the pose whose homography (plane z = 0, mm, to normalised image coordinates) is `h`
 * (Zhang, "A flexible new technique for camera calibration", IEEE PAMI 22, 2000, section 3.1).
 */
export function poseFromHomography(h: Matrix3): Pose {
  const a: Vector3 = [h[0], h[3], h[6]];
  const b: Vector3 = [h[1], h[4], h[7]];
  const c: Vector3 = [h[2], h[5], h[8]];
  let k = 2 / (Math.hypot(...a) + Math.hypot(...b));
  // The plane lies in front of the camera.
  if (c[2] < 0) k = -k;
  const r3 = unit(cross(scale(a, k), scale(b, k)));
  // The rotation nearest to [a b r3]: split the angle between a and b evenly.
  const p = unit(scale(a, k));
  const q = unit(scale(b, k));
  const sum = unit([p[0] + q[0], p[1] + q[1], p[2] + q[2]]);
  const difference = unit([p[0] - q[0], p[1] - q[1], p[2] - q[2]]);
  const r1 = unit([sum[0] + difference[0], sum[1] + difference[1], sum[2] + difference[2]]);
  const r2 = cross(r3, r1);
  return {
    rotation: rotationVector([r1[0], r2[0], r3[0], r1[1], r2[1], r3[1], r1[2], r2[2], r3[2]]),
    translation: scale(c, k),
  };
}

/** Where a homography takes a point. */
export function applyHomography(h: Matrix3, point: Pixel): Pixel {
  const w = h[6] * point[0] + h[7] * point[1] + h[8];
  return [(h[0] * point[0] + h[1] * point[1] + h[2]) / w, (h[3] * point[0] + h[4] * point[1] + h[5]) / w];
}
