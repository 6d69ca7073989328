import { type Camera, project, ray } from '../geometry/camera.ts';
import { dot, subtract, unit, type Vector3 } from '../geometry/vector.ts';
import { solveLinearSystem } from '../numerics/linear_system.ts';
import type { PhotoIndex } from '../photo/photo.ts';
import type { TaggedPhoto } from './mat_cameras.ts';
import type { MatSolution } from './mat_summary.ts';
import { byJoint, placeDoubt, placeGradient, type SeenPlace } from './propagation.ts';

/** Walks from so many photos on are also solved in halves; fewer places tell nothing of how halves agree. */
const least = { photos: 4, places: 3 } as const;

/** Every other photo of a walk, by its place in the whole, and these solved alone: undefined where they can not be. */
export interface Half {
  half: MatSolution | undefined;
  photos: readonly PhotoIndex[];
}

/** What two halves of a walk say of the same places. */
export interface HalvesDiffer {
  /** largest difference along of a place, the halves' common shift taken out, mm */
  apart: number;
  /** root mean square of the differences over what their doubts let one expect, and of how many differences */
  pull: number;
  places: number;
}

/**
 * Which photos of a walk are solved by themselves, to be held against each other: its first, third, ... and its second,
 * fourth, ... Undefined where there are too few. `mat`: the whole solution.
 */
export function halvesOf(
  photos: readonly Pick<TaggedPhoto, 'tags'>[],
  mat: MatSolution,
): [PhotoIndex[], PhotoIndex[]] | undefined {
  const placed = photos.flatMap(({ tags }, i) => (tags.length > 0 && mat.cameras[i] ? [i] : []));
  if (placed.length < least.photos) return undefined;
  return [placed.filter((_, k) => k % 2 === 0), placed.filter((_, k) => k % 2 === 1)];
}

/**
 * Compares where each half of a walk, solved by itself, has the places along the rod: their pictures are those of the
 * whole solution, so that only cameras, lens and pages are told anew. Undefined where a half shows too few places, or
 * does not hang together.
 */
export function compareHalves(
  mat: MatSolution,
  halves: readonly [Half, Half],
  places: readonly SeenPlace[],
): HalvesDiffer | undefined {
  const [first, second] = halves.map(({ half }) => half);
  if (!first?.covariance || !second?.covariance) return undefined;
  const seen = [first, second].map((half, h) => places.map((place) => seenBy(half, halves[h]!.photos, mat, place)));
  const common = places.flatMap((_, i) => {
    const [a, b] = [seen[0]![i], seen[1]![i]];
    return a && b ? [{ a, b }] : [];
  });
  if (common.length < least.places) return undefined;
  const one = alongOf(
    first,
    common.map(({ a }) => a),
  );
  const other = alongOf(
    second,
    common.map(({ b }) => b),
  );
  const squares = one.map(({ along, u }, i) => (along - other[i]!.along) ** 2 / (u ** 2 + other[i]!.u ** 2));
  return {
    apart: Math.max(...one.map(({ along }, i) => Math.abs(along - other[i]!.along))),
    // The common shift is taken out: one degree of freedom less.
    pull: Math.sqrt(squares.reduce((sum, square) => sum + square, 0) / (common.length - 1)),
    places: common.length,
  };
}

/** A place as the photos of one half show it, in that half's frame; undefined where none does. */
function seenBy(
  half: MatSolution,
  photos: readonly PhotoIndex[],
  whole: MatSolution,
  place: SeenPlace,
): SeenPlace | undefined {
  const showing = photos.flatMap((photo, i) => (place.photos.includes(photo) && half.cameras[i] ? [i] : []));
  const rays = showing.flatMap((i) => {
    const pixel = project(whole.cameras[photos[i]!]!, place.point);
    return pixel ? [{ camera: half.cameras[i]!, pixel }] : [];
  });
  const point = rays.length > 0 ? crossing(rays, place) : undefined;
  if (!point) return undefined;
  // Both halves take the blank as high as the whole has it, and their unknowns stand elsewhere.
  const { heightBefore: _, ...seen } = place;
  return { ...seen, point, photos: showing };
}

/** The point nearest to rays, its height over the bench known beforehand. */
function crossing(
  rays: readonly { camera: Camera; pixel: readonly [number, number] }[],
  { point, heightSigma, pixelSigma }: SeenPlace,
): Vector3 | undefined {
  const normal = [
    [0, 0, 0],
    [0, 0, 0],
    [0, 0, 1 / heightSigma ** 2],
  ];
  const right = [0, 0, point[2] / heightSigma ** 2];
  for (const { camera, pixel } of rays) {
    const { origin, direction } = ray(camera, pixel);
    const range = (point[2] - origin[2]) / direction[2];
    const weight = (camera.intrinsics.focal / (range * pixelSigma)) ** 2;
    const along = dot(origin, direction);
    for (let i = 0; i < 3; i++) {
      right[i]! += weight * (origin[i as 0] - direction[i as 0] * along);
      for (let j = 0; j < 3; j++)
        normal[i]![j]! += weight * ((i === j ? 1 : 0) - direction[i as 0] * direction[j as 0]);
    }
  }
  return solveLinearSystem(normal, right) as Vector3 | undefined;
}

/** Where places lie along the line through the first and the last, from their middle, and how well that is known. */
function alongOf(half: MatSolution, places: readonly SeenPlace[]): { along: number; u: number }[] {
  const direction = unit(subtract(places.at(-1)!.point, places[0]!.point));
  const own = places.map((place) => ({ ...place, along: direction }));
  const positions = own.map(({ point }) => dot(point, direction));
  const middle = positions.reduce((sum, s) => sum + s, 0) / positions.length;
  const mean = new Float64Array(half.values.length);
  for (const place of own)
    for (const [i, by] of (placeGradient(half, place) ?? []).entries()) mean[i]! += by / own.length;
  const doubt = { covariance: byJoint(half.covariance!), tipByParameter: mean };
  return own.map((place, i) => ({ along: positions[i]! - middle, u: placeDoubt(half, doubt, place).geometry }));
}
