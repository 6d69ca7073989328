import type { Stretch } from '../plan/stretch.ts';
import { joinSightings } from '../adjust/join_sightings.ts';
import type { RingCandidate } from '../adjust/ring_candidate.ts';
import { presenceOf } from '../adjust/ring_presence.ts';
import type { FittedRing } from '../adjust/fitted_ring.ts';
import { type BlankAxis, crossSection, rollDirection } from '../geometry/blank_axis.ts';
import { project } from '../geometry/camera.ts';
import { addScaled } from '../geometry/vector.ts';
import { sigmaOf } from '../numerics/covariance.ts';
import type { StripSeen } from '../vision/finder/sighting.ts';
import type { View, PerView } from '../vision/strip.ts';
import type { MeasuredPlace } from '../verdict/measured_shoot.ts';
import type { DrawnGuide } from './close_ups.ts';
import { claims } from './find_rings.ts';
import type { Measuring } from './measuring.ts';
import { ringPlace } from './place_doubt.ts';
import type { RollZero } from './roll_zero.ts';

/** A snake guide as the photos' sightings have it, none of its wire measured; mm. */
export interface FoundSnake extends DrawnGuide {
  candidate: RingCandidate;
  /** some photos take it for a guide with a ring, or one photo alone speaks of it: it may be one */
  typeDoubted: boolean;
}

/**
 * How a snake guide's arch is drawn: half its run as a share of half its length (common practice, no source), and its
 * least height, mm.
 */
const arch = { half: 0.5, leastHeight: 1, places: 25 } as const;

/** Should it have a ring after all, the ring stands off the arch's middle by this share of half its length. */
const ringOffMiddle = 0.25;

/**
 * The snake guides that the photos show in `range` (mm along the blank), from tip to butt, and the rings that are no
 * snake guides; no plan comes in. Where photos see a ring and an arch at one place, what more speaks for is taken, and
 * its kind is doubted.
 */
export function findSnakes(
  views: PerView<View>,
  axis: BlankAxis,
  seen: readonly StripSeen[],
  rings: readonly FittedRing[],
  range: Stretch,
): { snakes: FoundSnake[]; rings: FittedRing[] } {
  const sightings = seen.flatMap((strip) => strip.sightings.filter(({ kind }) => kind === 'snake'));
  const candidates = joinSightings(views, axis, sightings)
    .filter(({ along }) => along > range.from && along < range.to)
    .map((candidate) => ({ candidate, odds: presenceOf(views, axis, seen, candidate) }))
    .filter(({ odds }) => odds >= claims.ring)
    .sort((a, b) => b.odds - a.odds || a.candidate.along - b.candidate.along);
  const claimed: RingCandidate[] = [];
  for (const { candidate } of candidates)
    if (claimed.every((other) => !isOneGuide(other, candidate))) claimed.push(candidate);
  const rivals = (one: RingCandidate) => rings.filter((ring) => isOneGuide(one, ring.candidate));
  // What stands within a ring guide's reach and shows less plainly than its ring is its foot or frame.
  const inFrame = (one: RingCandidate) =>
    rings.filter(({ candidate }) => Math.abs(one.along - candidate.along) < claims.frame + candidate.outer);
  const snakes = claimed.filter((one) => inFrame(one).every((ring) => ring.candidate.weight < one.weight));
  return {
    snakes: snakes
      .map(
        (one): FoundSnake => ({
          ...drawArch(views, axis, one),
          candidate: one,
          typeDoubted: rivals(one).length > 0 || one.sightings.length === 1,
        }),
      )
      .sort((a, b) => a.along - b.along),
    rings: rings.filter((ring) => !snakes.some((one) => isOneGuide(one, ring.candidate))),
  };
}

/** Two centres on one guide: nearer than a guide's own half length and a little. */
const isOneGuide = (a: RingCandidate, b: RingCandidate): boolean =>
  Math.abs(a.along - b.along) < Math.max(a.outer, b.outer) + 2;

/** A plain arch over the guide's place, as it projects into each photo that shows it. */
function drawArch(views: PerView<View>, axis: BlankAxis, candidate: RingCandidate): DrawnGuide {
  const { along, right, up, outer, sightings } = candidate;
  const section = crossSection(axis, along);
  const roll = (Math.atan2(right, up) * 180) / Math.PI;
  const out = rollDirection(section, roll);
  const height = Math.max(2 * (Math.hypot(right, up) - section.radius), arch.leastHeight);
  const path = Array.from({ length: arch.places }, (_, i) => {
    const q = (2 * i) / (arch.places - 1) - 1;
    const foot = crossSection(axis, along + q * arch.half * outer).point;
    return addScaled(foot, out, section.radius + height * Math.cos((q * Math.PI) / 2));
  });
  const shown = sightings.map(({ view }) => view);
  return {
    along,
    centre: addScaled(addScaled(section.point, section.right, right), section.up, up),
    right,
    up,
    roll,
    ringOuter: height,
    views: shown,
    rims: shown.map((view) => ({
      view,
      polylines: [path.map((point) => project(views[view]!.camera, point)).filter((p) => p !== undefined)],
    })),
  };
}

/** The snake guides as places with all their doubt. */
export function snakePlaces(snakes: readonly FoundSnake[], zero: RollZero, measuring: Measuring): MeasuredPlace[] {
  return snakes.map(({ candidate, centre, views, typeDoubted }): MeasuredPlace => {
    const { along, right, up, covariance, outer, outerSigma } = candidate;
    const { height: _, ...place } = ringPlace(
      {
        along: {
          value: along,
          u: Math.hypot(sigmaOf(covariance, 'along'), typeDoubted ? ringOffMiddle * outer : 0),
        },
        right: { value: right, u: sigmaOf(covariance, 'right') },
        up: { value: up, u: sigmaOf(covariance, 'up') },
        centre,
        views,
      },
      zero,
      measuring,
    );
    return {
      ...place,
      type: 'snake',
      length: { value: 2 * outer, u: 2 * outerSigma },
      ...(typeDoubted && { typeDoubted }),
    };
  });
}
