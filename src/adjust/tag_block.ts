import {
  makeProjectionJacobian,
  projectWithJacobian,
  rotationWithDerivatives,
} from '../geometry/projection_jacobian.ts';
import { seatCard, seatCardCorners, tagCorners, tagPlace } from '../mat/tile.ts';
import type { Tag } from '../vision/tags.ts';
import { indices } from './parameters.ts';
import type { ResidualBlock } from '../numerics/least_squares.ts';

/** Where a photo's camera parameters stand in the vector. */
export interface CameraIndex {
  /** 8: focal, centre x, centre y, k1, k2, p1, p2, k3; shared by the photos of one lens */
  lens: number;
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

export const rotationOf = (values: ArrayLike<number>, pose: number) =>
  rotationWithDerivatives([values[pose]!, values[pose + 1]!, values[pose + 2]!]);

/** Indices of all camera parameters, in the order `cameraJacobian` writes them: lens 8, own 3, pose 6. */
export const cameraParameters = (camera: CameraIndex): number[] => [
  ...indices(camera.lens, 8),
  ...indices(camera.own, 3),
  ...indices(camera.pose, 6),
];
export const cameraParameterCount = 17;

/**
 * One row of the Jacobian by the camera's 17 parameters: `a` and `b` weigh the pixel's x and y (a unit vector for an
 * edge's normal, or (1, 0) and (0, 1)).
 */
export function cameraJacobian(
  values: ArrayLike<number>,
  camera: CameraIndex,
  projection: { byPose: Float64Array; byIntrinsics: Float64Array },
  a: number,
  b: number,
  out: Float64Array,
  at: number,
): void {
  const q = projection.byIntrinsics;
  const focal = values[camera.lens]!;
  const change = values[camera.own]!;
  for (let i = 0; i < 8; i++) out[at + i] = (a * q[i]! + b * q[8 + i]!) * (i === 0 ? 1 + change : 1);
  // k1.. scale with this photo's focal length, which byIntrinsics already holds.
  out[at + 8] = (a * q[0]! + b * q[8]!) * focal;
  out[at + 9] = a;
  out[at + 10] = b;
  for (let i = 0; i < 6; i++) out[at + 11 + i] = a * projection.byPose[i]! + b * projection.byPose[6 + i]!;
}

/** The four corners of one mat tag in one photo: eight whitened residuals. */
export function tileTagBlock(
  tag: Tag,
  camera: CameraIndex,
  tile: number,
  printScale: number,
  sigma: number,
): ResidualBlock {
  const centre = tagPlace(tag.id)!.centre;
  const corners = tagCorners(tag.id)!;
  const projection = makeProjectionJacobian();
  const width = cameraParameterCount + 6;
  const point = new Float64Array(3);
  return {
    parameters: [...cameraParameters(camera), ...indices(tile, 3), ...indices(printScale, 2), camera.bleed],
    size: 8,
    robust: 8,
    evaluate(values, residuals, jacobian) {
      const intrinsics = intrinsicsOf(values, camera);
      const rotation = rotationOf(values, camera.pose);
      const translation = values.subarray(camera.pose + 3, camera.pose + 6);
      const cosine = Math.cos(values[tile + 2]!);
      const sine = Math.sin(values[tile + 2]!);
      const bleed = values[camera.bleed]!;
      for (let i = 0; i < 4; i++) {
        const [u, v] = corners[i]!;
        const eu = Math.sign(u - centre[0]);
        const ev = Math.sign(v - centre[1]);
        const p = values[printScale]! * u - eu * bleed;
        const q = values[printScale + 1]! * v - ev * bleed;
        point[0] = values[tile]! + cosine * p - sine * q;
        point[1] = values[tile + 1]! + sine * p + cosine * q;
        const ahead = projectWithJacobian(intrinsics, rotation, translation, point, projection);
        for (let k = 0; k < 2; k++) {
          // A corner behind the camera can only come from a wild step; a huge residual turns the solver back.
          residuals[2 * i + k] = ahead ? (projection.pixel[k]! - tag.corners[i]![k as 0]) / sigma : 1e6;
          if (!jacobian) continue;
          const row = (2 * i + k) * width;
          if (!ahead) continue;
          const a = (k === 0 ? 1 : 0) / sigma;
          const b = (k === 1 ? 1 : 0) / sigma;
          cameraJacobian(values, camera, projection, a, b, jacobian, row);
          const px = projection.byPoint[3 * k]! / sigma;
          const py = projection.byPoint[3 * k + 1]! / sigma;
          const at = row + cameraParameterCount;
          jacobian[at] = px;
          jacobian[at + 1] = py;
          jacobian[at + 2] = px * (-sine * p - cosine * q) + py * (cosine * p - sine * q);
          jacobian[at + 3] = (px * cosine + py * sine) * u;
          jacobian[at + 4] = (-px * sine + py * cosine) * v;
          jacobian[at + 5] = -(px * cosine + py * sine) * eu - (-px * sine + py * cosine) * ev;
        }
      }
    },
  };
}

/**
 * The four corners of one seat card tag in one photo; `card` = rotation vector and translation, bench from card, then the
 * card's own print scale along and across.
 */
export function cardTagBlock(tag: Tag, camera: CameraIndex, card: number, sigma: number): ResidualBlock {
  const corners = seatCardCorners(tag.id)!;
  const centre = seatCard.centres[seatCard.ids.findIndex((own) => own === tag.id)]!;
  const projection = makeProjectionJacobian();
  const width = cameraParameterCount + 9;
  const point = new Float64Array(3);
  return {
    parameters: [...cameraParameters(camera), ...indices(card, 8), camera.bleed],
    size: 8,
    robust: 8,
    evaluate(values, residuals, jacobian) {
      const intrinsics = intrinsicsOf(values, camera);
      const rotation = rotationOf(values, camera.pose);
      const translation = values.subarray(camera.pose + 3, camera.pose + 6);
      const own = rotationOf(values, card);
      const bleed = values[camera.bleed]!;
      for (let i = 0; i < 4; i++) {
        const [u, v] = corners[i]!;
        const eu = Math.sign(u - centre[0]);
        const ev = Math.sign(v - centre[1]);
        const p = values[card + 6]! * u - eu * bleed;
        const q = values[card + 7]! * v - ev * bleed;
        for (let k = 0; k < 3; k++)
          point[k] = own.matrix[(3 * k) as 0]! * p + own.matrix[(3 * k + 1) as 0]! * q + values[card + 3 + k]!;
        const ahead = projectWithJacobian(intrinsics, rotation, translation, point, projection);
        for (let k = 0; k < 2; k++) {
          residuals[2 * i + k] = ahead ? (projection.pixel[k]! - tag.corners[i]![k as 0]) / sigma : 1e6;
          if (!jacobian || !ahead) continue;
          const row = (2 * i + k) * width;
          cameraJacobian(
            values,
            camera,
            projection,
            (k === 0 ? 1 : 0) / sigma,
            (k === 1 ? 1 : 0) / sigma,
            jacobian,
            row,
          );
          const at = row + cameraParameterCount;
          let byBleed = 0;
          for (let c = 0; c < 3; c++) {
            const by = projection.byPoint[3 * k + c]! / sigma;
            jacobian[at + 3 + c] = by;
            jacobian[at + 6]! += by * own.matrix[(3 * c) as 0]! * u;
            jacobian[at + 7]! += by * own.matrix[(3 * c + 1) as 0]! * v;
            byBleed -= by * (own.matrix[(3 * c) as 0]! * eu + own.matrix[(3 * c + 1) as 0]! * ev);
            for (let d = 0; d < 3; d++) {
              const partial = own.partials[d as 0];
              jacobian[at + d]! += by * (partial[(3 * c) as 0]! * p + partial[(3 * c + 1) as 0]! * q);
            }
          }
          jacobian[at + 8] = byBleed;
        }
      }
    },
  };
}
