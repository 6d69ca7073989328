import type { BlankAxis } from '../geometry/blank_axis.ts';
import { makeProjectionJacobian, projectWithJacobian } from '../geometry/projection_jacobian.ts';
import { basisAt, splineValue, type UniformSpline } from '../geometry/spline.ts';
import { addScaled, dot, scale, transform, transpose, unit, type Vector3 } from '../geometry/vector.ts';
import { type Lane, lanePoint } from '../vision/blank_search.ts';
import { type AxisStation, type OutlinePoint, outlineDirection } from '../vision/outline.ts';
import { type TipPoint, tipRimDirection } from '../vision/tip.ts';
import type { ResidualBlock } from './least_squares.ts';
import { indices } from './parameters.ts';
import {
  type CameraIndex,
  cameraJacobian,
  cameraParameterCount,
  cameraParameters,
  intrinsicsOf,
  rotationOf,
} from './tag_block.ts';

/**
 * The blank in the adjustment: its axis is lane point (t, side(t), height(t)) with both as cubic splines of the lane's
 * coordinate t, its radius a third spline, its tip end at one t. Indices point into the parameter vector.
 */
export interface BlankModel {
  lane: Lane;
  spline: UniformSpline;
  side: number;
  height: number;
  radiusSpline: UniformSpline;
  radius: number;
  tip: number;
}

/** The station of the modelled axis at `t`. */
export function stationAt(model: BlankModel, values: ArrayLike<number>, t: number): AxisStation {
  const { first, weights, slopes } = basisAt(model.spline, t);
  let side = 0;
  let height = 0;
  let sideSlope = 0;
  let heightSlope = 0;
  for (let i = 0; i < 4; i++) {
    const s = values[model.side + first + i]!;
    const h = values[model.height + first + i]!;
    side += weights[i as 0]! * s;
    height += weights[i as 0]! * h;
    sideSlope += slopes[i as 0]! * s;
    heightSlope += slopes[i as 0]! * h;
  }
  const [dx, dy] = model.lane.direction;
  return {
    t,
    point: lanePoint(model.lane, t, side, height),
    along: unit([dx - sideSlope * dy, dy + sideSlope * dx, heightSlope]),
    radius: splineValue(model.radiusSpline, values, model.radius, t),
  };
}

const cameraCentreOf = (rotation: ReturnType<typeof rotationOf>, translation: ArrayLike<number>): Vector3 =>
  scale(transform(transpose(rotation.matrix), [translation[0]!, translation[1]!, translation[2]!]), -1);

/** A point of the outline in one photo: its distance from the modelled outline along the normal, over `sigma` (pixels). */
export function outlineBlock(model: BlankModel, camera: CameraIndex, seen: OutlinePoint, sigma: number): ResidualBlock {
  const axisBasis = basisAt(model.spline, seen.t);
  const radiusBasis = basisAt(model.radiusSpline, seen.t);
  const projection = makeProjectionJacobian();
  const [dx, dy] = model.lane.direction;
  return {
    parameters: [
      ...cameraParameters(camera),
      ...indices(model.side + axisBasis.first, 4),
      ...indices(model.height + axisBasis.first, 4),
      ...indices(model.radius + radiusBasis.first, 4),
    ],
    size: 1,
    robust: 0.8 / sigma,
    evaluate(values, residuals, jacobian) {
      const station = stationAt(model, values, seen.t);
      const rotation = rotationOf(values, camera.pose);
      const translation = values.subarray(camera.pose + 3, camera.pose + 6);
      const q = outlineDirection(station, cameraCentreOf(rotation, translation), seen.side);
      const X = addScaled(station.point, q, station.radius);
      if (!projectWithJacobian(intrinsicsOf(values, camera), rotation, translation, X, projection)) {
        residuals[0] = 1e6;
        return;
      }
      const [a, b] = [seen.normal[0] / sigma, seen.normal[1] / sigma];
      residuals[0] = a * (projection.pixel[0]! - seen.pixel[0]) + b * (projection.pixel[1]! - seen.pixel[1]);
      if (!jacobian) return;
      cameraJacobian(values, camera, projection, a, b, jacobian, 0);
      const by = [0, 1, 2].map((i) => a * projection.byPoint[i]! + b * projection.byPoint[3 + i]!) as [
        number,
        number,
        number,
      ];
      const bySide = -by[0] * dy + by[1] * dx;
      const byRadius = by[0] * q[0] + by[1] * q[1] + by[2] * q[2];
      // The outline's own sliding along the blank and along the ray does not show along the normal (envelope theorem).
      for (let i = 0; i < 4; i++) {
        jacobian[cameraParameterCount + i] = bySide * axisBasis.weights[i as 0]!;
        jacobian[cameraParameterCount + 4 + i] = by[2] * axisBasis.weights[i as 0]!;
        jacobian[cameraParameterCount + 8 + i] = byRadius * radiusBasis.weights[i as 0]!;
      }
    },
  };
}

/** The tip end seen in one photo. The spline's weights at the tip are taken at the current value of the tip itself. */
export function tipBlock(model: BlankModel, camera: CameraIndex, seen: TipPoint, at: number): ResidualBlock {
  const axisBasis = basisAt(model.spline, at);
  const projection = makeProjectionJacobian();
  const [dx, dy] = model.lane.direction;
  return {
    parameters: [
      ...cameraParameters(camera),
      ...indices(model.side + axisBasis.first, 4),
      ...indices(model.height + axisBasis.first, 4),
      model.tip,
    ],
    size: 1,
    evaluate(values, residuals, jacobian) {
      const station = stationAt(model, values, values[model.tip]!);
      const rotation = rotationOf(values, camera.pose);
      const translation = values.subarray(camera.pose + 3, camera.pose + 6);
      const rim = tipRimDirection(station, cameraCentreOf(rotation, translation));
      const X = addScaled(station.point, rim, station.radius);
      if (!projectWithJacobian(intrinsicsOf(values, camera), rotation, translation, X, projection)) {
        residuals[0] = 1e6;
        return;
      }
      const [a, b] = [seen.normal[0] / seen.sigma, seen.normal[1] / seen.sigma];
      residuals[0] = a * (projection.pixel[0]! - seen.pixel[0]) + b * (projection.pixel[1]! - seen.pixel[1]);
      if (!jacobian) return;
      cameraJacobian(values, camera, projection, a, b, jacobian, 0);
      const by = [0, 1, 2].map((i) => a * projection.byPoint[i]! + b * projection.byPoint[3 + i]!) as [
        number,
        number,
        number,
      ];
      const bySide = -by[0] * dy + by[1] * dx;
      for (let i = 0; i < 4; i++) {
        jacobian[cameraParameterCount + i] = bySide * axisBasis.weights[i as 0]!;
        jacobian[cameraParameterCount + 4 + i] = by[2] * axisBasis.weights[i as 0]!;
      }
      // Along the axis by one unit of t.
      const along = scale(station.along, 1 / dot(station.along, [dx, dy, 0]));
      jacobian[cameraParameterCount + 8] = by[0] * along[0] + by[1] * along[1] + by[2] * along[2];
    },
  };
}

/** The blank cannot lie below the paper: its underside at `t` is pushed back when it dips under z = 0 (mm, `sigma`). */
export function aboveMat(model: BlankModel, t: number, sigma: number): ResidualBlock {
  const axisBasis = basisAt(model.spline, t);
  const radiusBasis = basisAt(model.radiusSpline, t);
  return {
    parameters: [...indices(model.height + axisBasis.first, 4), ...indices(model.radius + radiusBasis.first, 4)],
    size: 1,
    evaluate(values, residuals, jacobian) {
      const clearance =
        splineValue(model.spline, values, model.height, t) - splineValue(model.radiusSpline, values, model.radius, t);
      residuals[0] = Math.min(clearance, 0) / sigma;
      if (!jacobian || clearance >= 0) return;
      for (let i = 0; i < 4; i++) {
        jacobian[i] = axisBasis.weights[i as 0]! / sigma;
        jacobian[4 + i] = -radiusBasis.weights[i as 0]! / sigma;
      }
    },
  };
}

/** An observation of the second difference of three neighbouring coefficients: 0 within `sigma`. */
export function bendPrior(first: number, sigma: number): ResidualBlock {
  return {
    parameters: [first, first + 1, first + 2],
    size: 1,
    evaluate(values, residuals, jacobian) {
      residuals[0] = (values[first]! - 2 * values[first + 1]! + values[first + 2]!) / sigma;
      if (jacobian) {
        jacobian[0] = 1 / sigma;
        jacobian[1] = -2 / sigma;
        jacobian[2] = 1 / sigma;
      }
    },
  };
}

/** An observation of a spline's value at `t`. */
export function splinePrior(
  spline: UniformSpline,
  offset: number,
  t: number,
  mean: number,
  sigma: number,
): ResidualBlock {
  const { first, weights } = basisAt(spline, t);
  return {
    parameters: indices(offset + first, 4),
    size: 1,
    evaluate(values, residuals, jacobian) {
      residuals[0] = (splineValue(spline, values, offset, t) - mean) / sigma;
      if (jacobian) for (let i = 0; i < 4; i++) jacobian[i] = weights[i as 0]! / sigma;
    },
  };
}

/**
 * The axis by arc length from the tip: rows every `step` mm up to `length`, from the model's splines (integrated in steps of
 * `step` / 5), the end tangent going on where the spline ends.
 */
export function axisTable(model: BlankModel, values: ArrayLike<number>, length: number, step = 10): BlankAxis {
  const points: Vector3[] = [];
  const radii: number[] = [];
  const parts = 5;
  let t = values[model.tip]!;
  const rate = (at: number) => {
    const along = stationAt(model, values, at).along;
    return along[0] * model.lane.direction[0] + along[1] * model.lane.direction[1];
  };
  for (let s = 0; s <= length + step; s += step) {
    const station = stationAt(model, values, t);
    points.push(station.point);
    radii.push(station.radius);
    for (let i = 0; i < parts; i++) {
      const half = t + (0.5 * step * rate(t)) / parts;
      t += (step * rate(half)) / parts;
    }
  }
  return { from: 0, step, points, radii };
}
