import type { BlankAxis } from '../geometry/blank_axis.ts';
import { type Camera, cameraCentre } from '../geometry/camera.ts';
import { type BasisAt, basisAt, type UniformSpline, valueBy } from '../geometry/spline.ts';
import { addScaled, dot, type Pixel, scale, unit, type Vector3 } from '../geometry/vector.ts';
import type { PerPhoto } from '../photo/photo.ts';
import { type Lane, lanePoint } from '../vision/lane.ts';
import { type AxisStation, type OutlinePoint, outlineDirection } from '../vision/outline.ts';
import { projectionRows } from '../vision/rim_edges.ts';
import { tipRimDirection } from '../vision/tip.ts';
import type { TipPoint } from '../vision/tip_profile.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import { indices } from './parameters.ts';
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

/** The station of the modelled axis at `t`; the splines' weights there, where they are known already. */
export function stationAt(
  model: BlankModel,
  values: ArrayLike<number>,
  t: number,
  { first, weights, slopes }: BasisAt = basisAt(model.spline, t),
  own: BasisAt = basisAt(model.radiusSpline, t),
): AxisStation {
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
    radius: valueBy(own, values, model.radius),
  };
}

/** An edge seen in a photo, and the spline's weights where the blank meets it. */
interface EdgeSeen {
  model: BlankModel;
  camera: Camera;
  basis: BasisAt;
  pixel: Pixel;
  normal: Pixel;
  /** pixels */
  sigma: number;
}

/** How edges are held against the blank, and how its axis is told. */
const reading = {
  /** pixels off from which an outline's point counts less (Huber's loss): a shadow's edge or a foot's */
  robust: 0.8,
  /**
   * the residual of a point that lies behind the camera: it can only come from a wild step, and turns the solver back
   */
  behindCamera: 1e6,
  /** mm between the axis's rows unless asked otherwise, and parts of a row that its length is summed up in */
  every: 10,
  parts: 5,
} as const;

/**
 * One row of a block that holds a point of the blank against an edge seen in a photo: its distance along the edge's
 * normal over `sigma` (pixels), and where asked the derivatives by the four coefficients each of side and height.
 * Returns the derivative by the point itself, or undefined when the point lies behind the camera.
 */
function edgeRow(
  seen: EdgeSeen,
  X: Vector3,
  residuals: Float64Array,
  jacobian: Float64Array | undefined,
): Vector3 | undefined {
  const rows = projectionRows(seen.camera, X);
  if (!rows) {
    residuals[0] = reading.behindCamera;
    return undefined;
  }
  const [a, b] = [seen.normal[0] / seen.sigma, seen.normal[1] / seen.sigma];
  residuals[0] = a * (rows.pixel[0] - seen.pixel[0]) + b * (rows.pixel[1] - seen.pixel[1]);
  const by = addScaled(scale(rows.u, a), rows.v, b);
  if (!jacobian) return by;
  const [dx, dy] = seen.model.lane.direction;
  const bySide = -by[0] * dy + by[1] * dx;
  for (let i = 0; i < 4; i++) {
    jacobian[i] = bySide * seen.basis.weights[i as 0]!;
    jacobian[4 + i] = by[2] * seen.basis.weights[i as 0]!;
  }
  return by;
}

/** What hangs on where along the lane an outline is looked at alone: the splines' weights, and whose they are. */
interface OutlinePlace {
  axisBasis: BasisAt;
  radiusBasis: BasisAt;
  parameters: number[];
}

function outlinePlace(model: BlankModel, t: number): OutlinePlace {
  const axisBasis = basisAt(model.spline, t);
  const radiusBasis = basisAt(model.radiusSpline, t);
  const parameters = [
    ...indices(model.side + axisBasis.first, 4),
    ...indices(model.height + axisBasis.first, 4),
    ...indices(model.radius + radiusBasis.first, 4),
  ];
  return { axisBasis, radiusBasis, parameters };
}

/**
 * The points of the outline in all photos, a block each. Long walks have tens of thousands of them at the same places
 * along the lane, and what hangs on the place is held once.
 */
export function outlineBlocks(
  model: BlankModel,
  cameras: PerPhoto<Camera | undefined>,
  points: PerPhoto<readonly OutlinePoint[]>,
  sigma: number,
): ResidualBlock[] {
  const places = new Map<number, OutlinePlace>();
  return points.flatMap((own, i) =>
    own.map((point) => {
      const place = places.get(point.t) ?? outlinePlace(model, point.t);
      places.set(point.t, place);
      return outlineBlock(model, cameras[i]!, point, sigma, place);
    }),
  );
}

/**
 * A point of the outline in one photo: its distance from the modelled outline along the normal, over `sigma` (pixels).
 */
export function outlineBlock(
  model: BlankModel,
  camera: Camera,
  seen: OutlinePoint,
  sigma: number,
  { axisBasis, radiusBasis, parameters }: OutlinePlace = outlinePlace(model, seen.t),
): ResidualBlock {
  const centre = cameraCentre(camera);
  const edge = { model, camera, basis: axisBasis, pixel: seen.pixel, normal: seen.normal, sigma };
  return {
    parameters,
    size: 1,
    robust: reading.robust / sigma,
    evaluate(values, residuals, jacobian) {
      const station = stationAt(model, values, seen.t, axisBasis, radiusBasis);
      const q = outlineDirection(station, centre, seen.side);
      const X = addScaled(station.point, q, station.radius);
      const by = edgeRow(edge, X, residuals, jacobian);
      if (!by || !jacobian) return;
      // The outline's own sliding along the blank and along the ray does not show along the normal (envelope theorem).
      const byRadius = dot(by, q);
      for (let i = 0; i < 4; i++) jacobian[8 + i] = byRadius * radiusBasis.weights[i as 0]!;
    },
  };
}

/** The tip end seen in one photo. The spline's weights at the tip are taken at the current value of the tip itself. */
export function tipBlock(model: BlankModel, camera: Camera, seen: TipPoint, current: number): ResidualBlock {
  const axisBasis = basisAt(model.spline, current);
  const edge = { model, camera, basis: axisBasis, pixel: seen.pixel, normal: seen.normal, sigma: seen.sigma };
  const centre = cameraCentre(camera);
  const [dx, dy] = model.lane.direction;
  return {
    parameters: [...indices(model.side + axisBasis.first, 4), ...indices(model.height + axisBasis.first, 4), model.tip],
    size: 1,
    evaluate(values, residuals, jacobian) {
      const station = stationAt(model, values, values[model.tip]!);
      const X = addScaled(station.point, tipRimDirection(station, centre), station.radius);
      const by = edgeRow(edge, X, residuals, jacobian);
      if (!by || !jacobian) return;
      // Along the axis by one unit of t.
      const along = scale(station.along, 1 / dot(station.along, [dx, dy, 0]));
      jacobian[8] = dot(by, along);
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
  const basis = basisAt(spline, t);
  return {
    parameters: indices(offset + basis.first, 4),
    size: 1,
    evaluate(values, residuals, jacobian) {
      residuals[0] = (valueBy(basis, values, offset) - mean) / sigma;
      if (jacobian) for (let i = 0; i < 4; i++) jacobian[i] = basis.weights[i as 0] / sigma;
    },
  };
}

/**
 * The axis by arc length from the tip: rows every `step` mm up to `length`, from the model's splines (integrated in
 * parts of `step`), the end tangent going on where the spline ends.
 */
export function axisTable(
  model: BlankModel,
  values: ArrayLike<number>,
  length: number,
  step: number = reading.every,
): BlankAxis {
  const points: Vector3[] = [];
  const radii: number[] = [];
  const { parts } = reading;
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

/**
 * An observation that the blank lies on the paper (at height `paper`, mm) or above it at `t`: how far its underside
 * lies under it, over `sigma`.
 */
export function abovePaper(
  { spline, height, radiusSpline, radius }: BlankModel,
  t: number,
  paper: number,
  sigma: number,
): ResidualBlock {
  const axis = basisAt(spline, t);
  const own = basisAt(radiusSpline, t);
  return {
    parameters: [...indices(height + axis.first, 4), ...indices(radius + own.first, 4)],
    size: 1,
    evaluate(values, residuals, jacobian) {
      const sunk = paper + valueBy(own, values, radius) - valueBy(axis, values, height);
      residuals[0] = Math.max(sunk, 0) / sigma;
      if (!jacobian) return;
      for (let i = 0; i < 4; i++) {
        jacobian[i] = sunk > 0 ? -axis.weights[i as 0]! / sigma : 0;
        jacobian[4 + i] = sunk > 0 ? own.weights[i as 0]! / sigma : 0;
      }
    },
  };
}
