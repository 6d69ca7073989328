import { dot, type Vector3 } from '../geometry/vector.ts';
import { makeProjectionJacobian } from '../geometry/projection_jacobian.ts';
import { choleskyFactor, choleskySolve } from '../numerics/cholesky.ts';
import { covarianceBetween, type JointCovariance } from '../numerics/joint_covariance.ts';
import type { BlankSolution } from './blank_adjustment.ts';
import { stationAt } from './blank_model.ts';
import {
  cameraJacobian,
  cameraParameterCount,
  cameraParameters,
  fieldParameters,
  projectThrough,
  rotationOf,
} from './camera_block.ts';
import type { MatSolution } from './mat_summary.ts';
import type { PhotoIndex } from '../photo/photo.ts';

/** The covariance of two linear functions of the mat's parameters, each given by its derivatives. */
export type Covariance = (g: Float64Array, h: Float64Array) => number;

/** The adjustment's own. */
export const byJoint =
  (joint: JointCovariance): Covariance =>
  (g, h) =>
    covarianceBetween(joint, g, h);

/** Where cameras and pages are, without what is known of them. */
export type MatPlaces = Pick<MatSolution, 'values' | 'index' | 'scaleGradient'>;

/**
 * How doubt in cameras, lens, pages and print scale reaches a place on the blank: first-order propagation (JCGM
 * 100:2008, 5.1) of the mat adjustment's covariance through the intersection of rays that gives the place, and through
 * the tip it is counted from.
 */
export interface MatDoubt {
  covariance: Covariance;
  /** derivative of the tip's place along the axis by each parameter, mm */
  tipByParameter: Float64Array;
}

/**
 * The tip end that places are counted from: bench point (mm), unit direction of the axis there, photos it is read in.
 */
export interface TipEnd {
  point: Vector3;
  along: Vector3;
  photos: readonly PhotoIndex[];
}

export function tipEnd({ model, values, tipPhotos }: BlankSolution): TipEnd {
  const { point, along } = stationAt(model, values, values[model.tip]!);
  return { point, along, photos: tipPhotos };
}

/**
 * Undefined when the tags do not determine the mat's parameters. `tipByParameter`: how the tip moves with them where
 * the blank's own fit tells, its height moving along; else its rays tell, its height staying.
 */
export function matDoubt(mat: MatSolution, tip: TipEnd, tipByParameter?: Float64Array): MatDoubt | undefined {
  const { covariance } = mat;
  return covariance && { covariance: byJoint(covariance), tipByParameter: tipByParameter ?? tipGradient(mat, tip) };
}

/** Derivative of the tip's place along the axis by each of the mat's parameters, mm. */
export function tipGradient(mat: MatPlaces, tip: TipEnd): Float64Array {
  const gradient = new Float64Array(mat.values.length);
  for (const photo of tip.photos) {
    const seen = sightOf(mat, photo, tip.point);
    if (seen) addAlongDerivative(seen, tip.along, 1 / tip.photos.length, gradient);
  }
  return gradient;
}

/** How a point that slides along the axis moves (mm) with the camera's parameters when its picture stays. */
function addAlongDerivative(seen: Sight, along: Vector3, share: number, out: Float64Array): void {
  const by = [0, 1].map((k) => dot(along, [seen.byPoint[3 * k]!, seen.byPoint[3 * k + 1]!, seen.byPoint[3 * k + 2]!]));
  const square = by[0]! ** 2 + by[1]! ** 2;
  addPictureRow(seen, (-share * by[0]!) / square, (-share * by[1]!) / square, out);
}

/** A bench point seen by one photo's camera: how its picture moves. */
export interface Sight {
  /** 2 x 3, by the point */
  byPoint: Float64Array;
  /** 2 x 17, by the camera */
  byCamera: Float64Array;
  camera: number[];
  field: ReturnType<typeof fieldParameters>;
}

/** Adds the derivatives of `a` times the picture's x and `b` times its y by all parameters. */
export function addPictureRow({ byCamera, camera, field }: Sight, a: number, b: number, out: Float64Array): void {
  for (let i = 0; i < cameraParameterCount; i++)
    out[camera[i]!]! += a * byCamera[i]! + b * byCamera[cameraParameterCount + i]!;
  for (let i = 0; i < field.weight.length; i++) {
    out[field.right[i]!]! += a * field.weight[i]!;
    out[field.down[i]!]! += b * field.weight[i]!;
  }
}

/** Undefined where the photo is not placed, or the point (bench frame, mm) lies behind its camera. */
export function sightOf(mat: MatPlaces, photo: PhotoIndex, point: Vector3): Sight | undefined {
  const index = mat.index.cameras[photo];
  if (!index) return undefined;
  const projection = makeProjectionJacobian();
  if (!projectThrough(mat.values, index, rotationOf(mat.values, index.pose), point, projection)) return undefined;
  const byCamera = new Float64Array(2 * cameraParameterCount);
  cameraJacobian(mat.values, index, projection, [1, 0], byCamera);
  cameraJacobian(mat.values, index, projection, [0, 1], byCamera.subarray(cameraParameterCount));
  return {
    byPoint: Float64Array.from(projection.byPoint),
    byCamera,
    camera: cameraParameters(index),
    field: fieldParameters(index, [projection.pixel[0]!, projection.pixel[1]!]),
  };
}

/** A place on the rod as photos show it. */
export interface SeenPlace {
  /** bench frame, mm */
  point: Vector3;
  /** unit direction in which its doubt is asked for */
  along: Vector3;
  photos: readonly PhotoIndex[];
  /** what is known of its height beforehand, mm */
  heightSigma: number;
  /**
   * what is known of its height before its own rays are asked, mm, and how that moves with each of the mat's parameters
   * (more of them may have joined since); absent where it stays, known to `heightSigma`
   */
  heightBefore?: { sigma: number; byParameter: Float64Array };
  /** how well it is read in each photo */
  pixelSigma: number;
}

export interface PlaceDoubt {
  /** standard uncertainty along the axis from cameras, lens and pages, the scale apart, mm */
  geometry: number;
  /** what the scale's own doubt adds, mm */
  scale: number;
  /** along the axis from the rays' own crossing, its height known beforehand to `heightSigma` only, mm */
  crossing: number;
}

/** Doubt of a place along its direction. */
export function placeDoubt(mat: MatPlaces, doubt: MatDoubt, place: SeenPlace): PlaceDoubt {
  const crossed = crossRays(mat, place);
  const shift = placeGradient(mat, place);
  if (!crossed || !shift)
    return { geometry: Number.POSITIVE_INFINITY, scale: Number.POSITIVE_INFINITY, crossing: Number.POSITIVE_INFINITY };
  const gradient = shift.map((v, i) => v - doubt.tipByParameter[i]!);
  const { covariance } = doubt;
  const all = covariance(gradient, gradient);
  // The share that goes with the scale; what is left is the doubt that stays where the scale is known.
  const shared = covariance(gradient, mat.scaleGradient) ** 2 / covariance(mat.scaleGradient, mat.scaleGradient);
  return {
    geometry: Math.sqrt(Math.max(all - shared, 0)),
    scale: Math.sqrt(shared),
    crossing: crossed.crossing,
  };
}

/**
 * How a place moves along its direction with each of the mat's parameters, mm, the pictures of it staying; undefined
 * where its rays do not meet.
 */
export function placeGradient(mat: MatPlaces, place: SeenPlace): Float64Array | undefined {
  const { heightBefore, pixelSigma } = place;
  const crossed = crossRays(mat, heightBefore ? { ...place, heightSigma: heightBefore.sigma } : place);
  if (!crossed) return undefined;
  const { sights, lever } = crossed;
  const gradient = new Float64Array(mat.values.length);
  if (heightBefore) {
    const follows = lever[2]! / heightBefore.sigma ** 2;
    for (const [i, by] of heightBefore.byParameter.entries()) gradient[i] = follows * by;
  }
  for (const seen of sights) {
    const [a, b] = [0, 1].map(
      (k) =>
        -(
          lever[0]! * seen.byPoint[3 * k]! +
          lever[1]! * seen.byPoint[3 * k + 1]! +
          lever[2]! * seen.byPoint[3 * k + 2]!
        ) /
        pixelSigma ** 2,
    );
    addPictureRow(seen, a!, b!, gradient);
  }
  return gradient;
}

/**
 * How far a place moves along its direction for each mm by which these of its photos show it farther there: their
 * share, and more or less where the rays' crossing takes it for a height, known beforehand to `heightSigma`. All of it
 * where the rays do not meet.
 */
export function movedBy(mat: MatPlaces, place: SeenPlace, farther: readonly PhotoIndex[]): number {
  if (farther.length === 0) return 0;
  const lever = crossRays(mat, place)?.lever;
  if (!lever) return 1;
  const { along, pixelSigma } = place;
  const pictured = ({ byPoint }: Sight, k: number, by: Iterable<number>): number =>
    [...by].reduce((sum, d, i) => sum + d * byPoint[3 * k + i]!, 0);
  return farther
    .flatMap((photo) => sightOf(mat, photo, place.point) ?? [])
    .reduce(
      (sum, seen) =>
        sum + [0, 1].reduce((s, k) => s + pictured(seen, k, lever) * pictured(seen, k, along), 0) / pixelSigma ** 2,
      0,
    );
}

/** Standard uncertainty of a place along its direction from the rays' crossing alone, cameras and pages held, mm. */
export const rayCrossing = (mat: MatPlaces, place: SeenPlace): number =>
  crossRays(mat, place)?.crossing ?? Number.POSITIVE_INFINITY;

/** The rays to a place; undefined where they do not meet. */
function crossRays(mat: MatPlaces, { point, along, photos, heightSigma, pixelSigma }: SeenPlace) {
  const info = new Float64Array(9);
  info[8] = 1 / heightSigma ** 2;
  const sights = photos.flatMap((photo) => sightOf(mat, photo, point) ?? []);
  for (const seen of sights)
    for (let k = 0; k < 2; k++)
      for (let i = 0; i < 3; i++)
        for (let j = 0; j < 3; j++)
          info[3 * i + j]! += (seen.byPoint[3 * k + i]! * seen.byPoint[3 * k + j]!) / pixelSigma ** 2;
  const factor = choleskyFactor(info, 3);
  if (!factor) return undefined;
  // along' M^-1, so that one pass over the sights gives the derivative by every parameter.
  const lever = choleskySolve(factor, 3, Float64Array.from(along));
  const crossing = Math.sqrt(along[0] * lever[0]! + along[1] * lever[1]! + along[2] * lever[2]!);
  return { sights, lever, crossing };
}

/**
 * Relative standard uncertainty of the length that carries the scale: the span, else the outer pages' distance or the
 * print.
 */
export const scaleDoubt = ({ scaleGradient }: MatPlaces, { covariance }: MatDoubt): number =>
  Math.sqrt(Math.max(covariance(scaleGradient, scaleGradient), 0));
