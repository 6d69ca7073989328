import { besideAxis, type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { addScaled } from '../geometry/vector.ts';
import { stripPlace } from '../vision/finder/strip_place.ts';
import { viewNear } from '../vision/view_near.ts';
import type { PerView, View } from '../vision/strip.ts';
import { type FittedRing, visibleInset } from './fitted_ring.ts';
import type { GuideReading } from './guide_problem.ts';
import type { RingCandidate } from './ring_candidate.ts';
import { commonLight } from './ring_doubt.ts';
import { fitRing, quick } from './ring_fit.ts';
import { type ExpectedRing, type RingState, unknownRing } from './ring_state.ts';

/** How one photo by itself is asked where a ring stands. */
const alone = {
  /** a ring's height and size, which all photos together told, are held by so much, mm; its lean and yaw, radians */
  size: 0.03,
  lean: 0.02,
  /** its section by this share */
  section: 0.2,
  /** where the photo's sighting lies farther from where all have the ring than this, mm, it is started from as well */
  elsewhere: 0.5,
  /** no fit repeats from photo to photo to better than this, mm */
  least: 0.03,
  /** and the finder's sightings of one guide to this: what they all have alike cancels */
  sighting: 0.4,
  /** squared deviations by which rims are likelier the ring's own than others' */
  rimsAreOthers: 4,
  /** what lies so far round the ring is looked at, in its radii and mm */
  round: { radii: 2.5, mm: 25 },
} as const;

/**
 * Where each photo with a sighting of a ring has it along the blank when it is asked by itself, its height, size and
 * lean as all photos told them: by its rims where they are seen, or they may be others' and the sighting tells.
 */
export function ringByPhoto(views: PerView<View>, axis: BlankAxis, ring: FittedRing): GuideReading[] {
  const expected = expectedAs(ring);
  const reach = alone.round.radii * (ring.ringOuter / 2) + alone.round.mm;
  return sightedByPhoto(views, axis, ring.candidate, ring).map((sighted) => {
    const view = viewNear(views[sighted.view]!, ring.centre, reach);
    if (!view) return sighted;
    const [place] = sighted.places;
    const starts = Math.abs(place!.off) > alone.elsewhere ? [0, place!.off] : [0];
    const fits = starts
      .flatMap((by) => fitRing([view], axis, expected, { ...expected.shape.mean, along: ring.along + by }, quick) ?? [])
      .filter(({ evidence }) => evidence > 0)
      .sort((a, b) => b.evidence - a.evidence);
    if (fits.length === 0) return sighted;
    const places = fits.map(({ state, covariance, pxPerMm, evidence }) => ({
      off: state.along - ring.along,
      u: Math.hypot(Math.sqrt(covariance.along.along), alone.least, commonLight(pxPerMm, 1).along),
      unlikely: fits[0]!.evidence - evidence,
    }));
    return { ...sighted, places: [...places, { ...place!, unlikely: alone.rimsAreOthers }] };
  });
}

/** Where the photos' sightings have a guide along the blank, reckoned where and as high as all of them have it. */
export function sightedByPhoto(
  views: PerView<View>,
  axis: BlankAxis,
  { sightings }: RingCandidate,
  { along, right, up }: { along: number; right: number; up: number },
): GuideReading[] {
  const section = crossSection(axis, along);
  const centre = besideAxis(section, right, up);
  return sightings.flatMap((sighting): GuideReading[] => {
    const { view } = sighting;
    const shows = (higher: number) =>
      stripPlace(views[view]!.camera, axis, addScaled(centre, section.up, higher), along)?.along;
    const [at, higher] = [shows(0), shows(1)];
    if (at === undefined || higher === undefined) return [];
    return [{ view, perHeight: higher - at, places: [{ off: sighting.along - at, u: alone.sighting, unlikely: 0 }] }];
  });
}

/** The ring as all photos told it, free to move along and sideways. */
function expectedAs({ along, right, up, height, lean, ringOuter, ringInner }: FittedRing): ExpectedRing {
  const { shape } = unknownRing({ mean: ringOuter / 2, sigma: alone.size }, { mean: height, sigma: alone.size });
  const mean: RingState = {
    ...shape.mean,
    along,
    right,
    up,
    lean: (lean * Math.PI) / 180,
    outer: ringOuter / 2 - visibleInset,
    inner: ringInner / 2,
  };
  const { size, section } = alone;
  return {
    shape: {
      mean,
      sigma: {
        ...shape.sigma,
        lean: alone.lean,
        yaw: alone.lean,
        outer: size,
        inner: size,
        halfThickness: section * mean.halfThickness,
        rounding: section * mean.rounding,
        boreHalfThickness: section * mean.boreHalfThickness,
      },
    },
    height: { mean: height, sigma: size },
  };
}
