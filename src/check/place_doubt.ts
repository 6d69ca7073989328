import { axisSigmaAt } from '../adjust/blank_adjustment.ts';
import { placeDoubt } from '../adjust/propagation.ts';
import { blankRadius, crossSection } from '../geometry/blank_axis.ts';
import type { Vector3 } from '../geometry/vector.ts';
import type { Estimate, MeasuredPlace, PlaceReading } from '../verdict/measured_shoot.ts';
import type { UncertaintyParts } from '../verdict/report.ts';
import { axisHeightBias, degrees, type Measuring, outlineBias } from './measuring.ts';
import type { RollZero } from './roll_zero.ts';
import type { ViewIndex } from '../vision/strip.ts';
import type { PhotoIndex } from '../photo/photo.ts';

/** How well a rim or a mark's edge is read in one photo, pixels. */
const readingSigma = 0.3;
/** A ring's centre in the blank's cross-section, as its rims or the builder's points give it; mm. */
export interface RingCentre {
  along: Estimate;
  right: Estimate;
  up: Estimate;
  /** bench frame */
  centre: Vector3;
  /** views it was read in */
  views: readonly ViewIndex[];
}

/** Place, roll and height of a ring with all their doubt; the roll only where there is something to count it from. */
export function ringPlace(ring: RingCentre, zero: RollZero, measuring: Measuring): MeasuredPlace {
  const { blank, views } = measuring;
  const axis = axisSigmaAt(blank, ring.along.value);
  const height = Math.hypot(ring.up.u, axis.height);
  const lever = Math.hypot(ring.right.value, ring.up.value);
  const sideways = Math.hypot(ring.right.u, axis.side, outlineBias);
  const roll = degrees(Math.atan2(ring.right.value, ring.up.value));
  const rollU = Math.hypot(degrees(sideways / lever), zero.roll?.u ?? 0);
  const place = alongWithDoubt(
    ring.along,
    ring.centre,
    ring.views.map((view) => views.photo[view]!),
    height,
    measuring,
  );
  const { right } = crossSection(blank.axis, ring.along.value);
  return {
    ...place,
    reading: { ...place.reading, ring: { right, own: ring.right.u, lever } },
    ...(zero.reference === 'guides' || zero.roll ? { roll: { value: roll - (zero.roll?.value ?? 0), u: rollU } } : {}),
    height: { value: lever - blankRadius(blank.axis, ring.along.value), u: Math.hypot(height, axisHeightBias) },
  };
}

/**
 * A place along the blank (mm, `u` as it was read) with what scale, cameras, mat and tip add to its doubt; `point` is
 * where it shows (bench frame), `heightSigma` how well that point's height is known.
 */
export function alongWithDoubt(
  { value, u: reading }: Estimate,
  point: Vector3,
  photos: readonly PhotoIndex[],
  heightSigma: number,
  measuring: Measuring,
): { along: Estimate; apart: number; parts: UncertaintyParts; reading: PlaceReading } {
  const { mat, blank, doubt, scale } = measuring;
  const { along } = crossSection(blank.axis, value);
  const seen = { point, along, photos, heightSigma, pixelSigma: readingSigma };
  const { geometry, crossing } = placeDoubt(mat, doubt, seen);
  const parts: UncertaintyParts = {
    scale: scale * value,
    geometry,
    reading: Math.hypot(Math.max(reading, crossing), slideDoubt(measuring, photos)),
    tip: blank.tipSigma,
  };
  const apart = Math.hypot(parts.geometry, parts.reading, parts.tip);
  return { along: { value, u: Math.hypot(parts.scale, apart) }, apart, parts, reading: { seen, own: reading } };
}

/**
 * What slides between these photos and the tip's add, mm: in full where all of them lie beyond, by their share else.
 */
function slideDoubt({ blank, slides, views }: Measuring, photos: readonly PhotoIndex[]): number {
  const tip = views.photo.indexOf(blank.tipPhotos[0] ?? 0);
  const doubts = slides.map(({ from, along }) => {
    const beyond = photos.filter((photo) => views.photo.indexOf(photo) >= from !== tip >= from);
    return (along.u * beyond.length) / Math.max(photos.length, 1);
  });
  return Math.hypot(0, ...doubts);
}
