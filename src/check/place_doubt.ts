import type { Estimate } from '../numerics/estimate.ts';
import { axisSigmaAt } from '../adjust/blank_adjustment.ts';
import { movedBy, placeDoubt, placeGradient, type SeenPlace, tipEnd } from '../adjust/propagation.ts';
import { ringShapes } from '../adjust/ring_state.ts';
import { blankRadius, crossSection } from '../geometry/blank_axis.ts';
import { addScaled, scale as scaleVector, type Vector3 } from '../geometry/vector.ts';
import type { MeasuredPlace, PlaceReading } from '../verdict/measured_shoot.ts';
import type { UncertaintyParts } from '../verdict/report.ts';
import { axisHeightBias, degrees, type Measuring, outlineBias } from './measuring.ts';
import type { RollZero } from './roll_zero.ts';
import type { ViewIndex } from '../vision/strip.ts';
import type { PhotoIndex } from '../photo/photo.ts';

/** How well a rim or a mark's edge is read in one photo, pixels. */
const readingSigma = 0.2;
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
  const photos = ring.views.map((view) => views.photo[view]!);
  const stands = { own: height, before: Math.hypot(heightBefore(lever, measuring, ring.along.value), axis.height) };
  const place = alongWithDoubt(ring.along, ring.centre, photos, stands, measuring);
  const byCameras = ringAside(ring, place.reading.seen, measuring);
  const rollU = Math.hypot(degrees(Math.hypot(sideways, byCameras) / lever), zero.roll?.u ?? 0);
  const { right } = crossSection(blank.axis, ring.along.value);
  return {
    ...place,
    reading: { ...place.reading, ring: { right, own: ring.right.u, byCameras, lever } },
    ...(zero.reference === 'guides' || zero.roll ? { roll: { value: roll - (zero.roll?.value ?? 0), u: rollU } } : {}),
    height: { value: lever - blankRadius(blank.axis, ring.along.value), u: Math.hypot(height, axisHeightBias) },
  };
}

/** How well the height of a ring over the blank is known before its rims are read, mm. */
function heightBefore(lever: number, { blank }: Measuring, along: number): number {
  const [least, share] = ringShapes.planned.height;
  return least + share * Math.max(lever - blankRadius(blank.axis, along), 0);
}

/**
 * What cameras, lens and pages add to a ring's place across its own radius, counted from the axis, which they move too;
 * mm.
 */
function ringAside(ring: RingCentre, seen: SeenPlace, { mat, blank, doubt, blankBy }: Measuring): number {
  if (!blankBy) return 0;
  const { right, up } = crossSection(blank.axis, ring.along.value);
  const roll = Math.atan2(ring.right.value, ring.up.value);
  const across = addScaled(scaleVector(right, Math.cos(roll)), up, -Math.sin(roll));
  const gradient = placeGradient(mat, { ...seen, along: across });
  if (!gradient) return 0;
  const [dx, dy] = blank.model.lane.direction;
  const [side, height] = [blankBy.sideAt(ring.along.value), blankBy.heightAt(ring.along.value)];
  const bySide = -dy * across[0] + dx * across[1];
  const own = gradient.map((by, i) => by - bySide * side[i]! - across[2] * height[i]!);
  return Math.sqrt(Math.max(doubt.covariance(own, own), 0));
}

/**
 * How well a place's height is known, mm: with all that was read of it, and before its own rays are asked; the second
 * is the first when absent.
 */
export interface HeightKnown {
  own: number;
  before?: number;
}

/**
 * A place along the blank (mm, `u` as it was read) with what scale, cameras, mat and tip add to its doubt; `point` is
 * where it shows (bench frame).
 */
export function alongWithDoubt(
  { value, u: reading }: Estimate,
  point: Vector3,
  photos: readonly PhotoIndex[],
  stands: HeightKnown,
  measuring: Measuring,
): { along: Estimate; apart: number; parts: UncertaintyParts; reading: PlaceReading } {
  const { mat, blank, doubt, scale, blankBy } = measuring;
  const { along } = crossSection(blank.axis, value);
  const seen: SeenPlace = {
    point,
    along,
    photos,
    heightSigma: stands.own,
    ...(blankBy && {
      heightBefore: { sigma: stands.before ?? stands.own, byParameter: blankBy.heightAt(value) },
    }),
    pixelSigma: readingSigma,
  };
  const { geometry, crossing } = placeDoubt(mat, doubt, seen);
  const parts: UncertaintyParts = {
    scale: scale * value,
    geometry,
    reading: Math.hypot(
      Math.max(reading, crossing),
      slideDoubt(measuring, { ...seen, heightSigma: stands.before ?? stands.own }),
    ),
    tip: blank.tipSigma,
  };
  const apart = Math.hypot(parts.geometry, parts.reading, parts.tip);
  return { along: { value, u: Math.hypot(parts.scale, apart) }, apart, parts, reading: { seen, own: reading } };
}

/**
 * What slides between a place's photos and the tip's add, mm: by how far the photos beyond move either where its rays
 * cross, which takes a slide for a height as far as none is known.
 */
function slideDoubt({ mat, blank, slides, views }: Measuring, seen: SeenPlace): number {
  if (slides.length === 0) return 0;
  const heightSigma = Math.hypot(axisSigmaAt(blank, 0).height, axisHeightBias);
  const tip = { ...tipEnd(blank), heightSigma, pixelSigma: seen.pixelSigma };
  const doubts = slides.map(({ from, along }) => {
    const moved = (place: SeenPlace) =>
      movedBy(
        mat,
        place,
        place.photos.filter((photo) => views.photo.indexOf(photo) >= from),
      );
    return along.u * (moved(seen) - moved(tip));
  });
  return Math.hypot(...doubts);
}
