import { type BlankAxis, blankRadius, crossSection, rollOf } from '../geometry/blank_axis.ts';
import { cameraCentre, project } from '../geometry/camera.ts';
import { ringRims } from '../geometry/ring.ts';
import type { RingGuide } from '../plan/plan.ts';
import { stripPlace } from '../vision/finder/strip_place.ts';
import type { View } from '../vision/strip.ts';
import type { FittedRing } from './fit_rings.ts';
import { type RingCandidate, sightingSigma } from './join_sightings.ts';
import { honestCovariance } from './ring_doubt.ts';
import { fitRing, quick, type RingFit } from './ring_fit.ts';
import { type ExpectedRing, placeRing, plannedRing, type RingState, unknownRing } from './ring_state.ts';

/** A ring seen by the finder, its rims measured. */
export interface MeasuredRing extends FittedRing {
  candidate: RingCandidate;
}

/** How a candidate's rims are measured. */
export const measuring = {
  /** a planned ring's size and height may be a candidate's within this many standard deviations */
  alike: 2.6,
  /** what heights as taped on differ from the plan's by, mm, beside the candidate's own doubt */
  heightSpread: 1.2,
  /** places the fit is started from, in standard deviations of the candidate along, right and up: its rims take hold within half a wall */
  starts: [
    [0, 0, 0],
    [-1, 0, 0],
    [1, 0, 0],
    [0, -1, 0],
    [0, 1, 0],
    [0, 0, -1],
    [0, 0, 1],
  ],
  /** a start is at most this far from the candidate, mm */
  farthestStart: 1,
  /** how many of the quick fits, best first, are made thorough */
  thorough: 2,
  /** a fitted centre farther than this many standard deviations from a photo's sighting has slipped to other edges */
  slip: 3.5,
  /** log likelihood that speaks against a ring of no planned make, where one of a planned make is to be had */
  unknownMake: 3,
  /** log odds that a ring at a planned place is of the make planned there, against any other of the plan: builders seldom mix them up */
  plannedHere: 4,
} as const;

/**
 * Measures a candidate by its rims in all photos that show it. The sizes of `guides` (those of the plan) serve as what is known of
 * the ring before its rims are read, each where it may be this ring; a ring that is like none of them is measured with its size
 * left free. Of several the one that the photos' edges bear out best is taken. Undefined where no fit holds to the sightings.
 */
export function measureRing(
  views: readonly View[],
  axis: BlankAxis,
  candidate: RingCandidate,
  guides: readonly RingGuide[],
  planned?: RingGuide,
): MeasuredRing | undefined {
  const trials = expectedMakes(axis, candidate, guides, planned)
    .flatMap((make) =>
      startsOf(axis, candidate, make.expected).flatMap(
        (start) => trial(views, axis, candidate, make, start, quick) ?? [],
      ),
    )
    .sort(byRank);
  const best = distinct(trials)
    .slice(0, measuring.thorough)
    .map((t) => trial(views, axis, candidate, t.make, t.fit.state) ?? t)
    .sort(byRank)[0];
  return best && describeRing(views, axis, candidate, best);
}

/** What a candidate may be, and how likely before its rims are read, as a log. */
interface Make {
  expected: ExpectedRing;
  prior: number;
}

interface Trial {
  make: Make;
  fit: RingFit;
  rank: number;
}

const byRank = (a: Trial, b: Trial) => b.rank - a.rank;

/** The best trial of each make. */
const distinct = (trials: readonly Trial[]) =>
  trials.filter((t, i) => trials.findIndex((other) => other.make === t.make) === i);

function expectedMakes(
  axis: BlankAxis,
  candidate: RingCandidate,
  guides: readonly RingGuide[],
  planned: RingGuide | undefined,
): Make[] {
  const { along, right, up, outer, outerSigma } = candidate;
  const height = Math.hypot(right, up) - blankRadius(axis, along);
  const heightSigma = radialSigma(candidate);
  const makes: Make[] = [];
  for (const [i, guide] of guides.entries()) {
    if (guides.slice(0, i).some((other) => sameMake(other, guide))) continue;
    const size = (guide.ringOuter / 2 - outer) / outerSigma;
    const stands = (guide.height - height) / Math.hypot(heightSigma, measuring.heightSpread);
    if (Math.abs(size) > measuring.alike || Math.abs(stands) > measuring.alike) continue;
    const here = planned && sameMake(planned, guide) ? measuring.plannedHere : 0;
    makes.push({ expected: plannedRing(guide), prior: here - 0.5 * size ** 2 });
  }
  const unknown = unknownRing(
    { mean: outer, sigma: outerSigma },
    { mean: height, sigma: Math.hypot(heightSigma, 0.5) },
  );
  return [...makes, { expected: unknown, prior: -measuring.unknownMake }];
}

const sameMake = (a: RingGuide, b: RingGuide): boolean =>
  a.ringOuter === b.ringOuter && a.ringInner === b.ringInner && a.height === b.height && a.lean === b.lean;

/** Standard deviation of a candidate's distance from the axis, mm. */
function radialSigma({ right, up, covariance }: RingCandidate): number {
  const distance = Math.hypot(right, up);
  const [c, s] = [up / distance, right / distance];
  return Math.sqrt(s * s * covariance[4]! + 2 * s * c * covariance[5]! + c * c * covariance[8]!);
}

/**
 * Where the fit starts from: the candidate's centre, moved along its own doubt to the expected height (one photo knows a ring's
 * height only so), and a little to either side.
 */
function startsOf(axis: BlankAxis, candidate: RingCandidate, { shape, height }: ExpectedRing): RingState[] {
  const { covariance } = candidate;
  const distance = Math.hypot(candidate.right, candidate.up);
  const direction = [0, candidate.right / distance, candidate.up / distance] as const;
  const gain = [0, 1, 2].map((i) => direction.reduce((sum, d, j) => sum + covariance[3 * i + j]! * d, 0));
  const variance = direction.reduce((sum, d, i) => sum + d * gain[i]!, 0) + height.sigma ** 2;
  const miss = (blankRadius(axis, candidate.along) + height.mean - distance) / variance;
  const place = [candidate.along, candidate.right, candidate.up].map((value, i) => value + gain[i]! * miss);
  const step = (i: number) => Math.min(Math.sqrt(covariance[4 * i]!), measuring.farthestStart);
  return measuring.starts.map((start) => [
    ...place.map((value, i) => value + start[i]! * step(i)),
    ...shape.mean.slice(3),
  ]);
}

function trial(
  views: readonly View[],
  axis: BlankAxis,
  candidate: RingCandidate,
  make: Make,
  start: RingState,
  effort?: typeof quick,
): Trial | undefined {
  const fit = fitRing(views, axis, make.expected, start, effort);
  const apart = fit && fromSightings(views, axis, candidate, fit);
  if (!fit || !apart || apart.worst > measuring.slip) return undefined;
  const full = fit.support.reduce((sum, e) => sum + e.full, 0);
  return { make, fit, rank: full - strangeness(axis, make.expected, fit.state) - apart.cost + make.prior };
}

/** How far a fitted centre shows from where the photos' sightings have it, in standard deviations, and as a loss of log likelihood. */
function fromSightings(
  views: readonly View[],
  axis: BlankAxis,
  { sightings }: RingCandidate,
  { state }: RingFit,
): { worst: number; cost: number } {
  const { centre } = placeRing(axis, state).ring;
  const misses = sightings.map(({ view, along, across, radius }) => {
    const at = stripPlace(views[view]!.camera, axis, centre, along);
    return at ? Math.hypot(at.along - along, at.across - across) / sightingSigma(radius) : Number.POSITIVE_INFINITY;
  });
  return { worst: Math.max(...misses), cost: misses.reduce((sum, miss) => sum + 0.5 * miss ** 2, 0) };
}

/** How far a fit's shape and height are from what was expected, as a loss of log likelihood. */
function strangeness(axis: BlankAxis, { shape, height }: ExpectedRing, state: RingState): number {
  const stands = Math.hypot(state[1]!, state[2]!) - blankRadius(axis, state[0]!);
  const misses = shape.sigma.map((sigma, i) => (Number.isFinite(sigma) ? (state[i]! - shape.mean[i]!) / sigma : 0));
  return [...misses, (stands - height.mean) / height.sigma].reduce(
    (sum, miss) => sum + 0.5 * Math.min(9, miss ** 2),
    0,
  );
}

/** The visible outline lies this far inside the true one, mm: the edge is rounded, white bleeds over it, and polished rims mirror the paper. */
const visibleInset = 0.1;

function describeRing(
  views: readonly View[],
  axis: BlankAxis,
  candidate: RingCandidate,
  { fit, rank }: Trial,
): MeasuredRing {
  const { state } = fit;
  const { ring } = placeRing(axis, state);
  const section = crossSection(axis, state[0]!);
  return {
    candidate,
    along: state[0]!,
    centre: ring.centre,
    right: state[1]!,
    up: state[2]!,
    roll: rollOf(section, ring.centre),
    height: Math.hypot(state[1]!, state[2]!) - section.radius,
    lean: (state[3]! * 180) / Math.PI,
    ringOuter: 2 * (ring.outer + visibleInset),
    ringInner: 2 * ring.inner,
    covariance: honestCovariance(fit),
    score: rank,
    photos: fit.views,
    edges: fit.edges,
    rims: fit.views.map((photoIndex) => {
      const { camera } = views[photoIndex]!;
      const polylines = ringRims(ring, cameraCentre(camera), 64).map((run) =>
        run.map((p) => project(camera, p.point)).filter((p) => p !== undefined),
      );
      return { photoIndex, polylines };
    }),
  };
}
