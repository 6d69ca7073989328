import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import type { RingGuide } from '../plan/plan.ts';
import { stripPlace } from '../vision/finder/strip_place.ts';
import type { View, PerView } from '../vision/strip.ts';
import { bySightingsAlone, describeRing, type FittedRing } from './fitted_ring.ts';
import { type RingCandidate, sightingSigma } from './ring_candidate.ts';
import { radiusReading } from './sighted_size.ts';
import { honestCovariance } from './ring_doubt.ts';
import { between, joinedState, type RingReadingTried, withOtherReadings, withSizeDoubted } from './ring_readings.ts';
import { type Effort, fitRing, quick, type RingFit } from './ring_fit.ts';
import {
  type ExpectedRing,
  placeRing,
  plannedRing,
  ringPlaceNames,
  type RingState,
  ringUnknowns,
  unknownRing,
} from './ring_state.ts';

/** How a candidate's rims are measured. */
export const measuring = {
  /** a planned ring's size and height may be a candidate's within this many standard deviations */
  alike: 2.6,
  /** what heights as taped on differ from the plan's by, mm, beside the candidate's own doubt */
  heightSpread: 1.2,
  /**
   * places the fit is started from, in standard deviations of the candidate along, sideways and away from the axis
   * (left out where one photo knows the height only from what is expected): its rims take hold within about half a wall
   */
  starts: [
    [0, 0, 0],
    [-1, 0, 0],
    [1, 0, 0],
    [0, -1, 0],
    [0, 1, 0],
    [0, 0, -1],
    [0, 0, 1],
    [-0.8, -0.8, -0.8],
    [-0.8, 0.8, -0.8],
    [0.8, -0.8, -0.8],
    [0.8, 0.8, -0.8],
    [-0.8, -0.8, 0.8],
    [-0.8, 0.8, 0.8],
    [0.8, -0.8, 0.8],
    [0.8, 0.8, 0.8],
  ],
  /** a start is at most this far from the candidate, mm */
  farthestStart: 1,
  /** how many of the quick fits, best first, are made thorough, and how far apart they lie at least, mm */
  thorough: 4,
  apart: 0.05,
  /** a fitted centre farther than this many standard deviations from a photo's sighting has slipped to other edges */
  slip: 3.5,
  /** log likelihood that speaks against a ring of no planned make, where one of a planned make is to be had */
  unknownMake: 6,
  /**
   * log odds that a ring at a planned place is of the make planned there, against any other of the plan: builders
   * seldom mix them up
   */
  plannedHere: 4,
  /** one unknown's misfit against what was expected counts for this many squared deviations at most */
  mostStrange: 9,
} as const;

/**
 * Measures a candidate by its rims in all photos that show it. The sizes of `guides` (those of the plan) serve as what
 * is known of the ring before its rims are read, each where it may be this ring; a ring that is like none of them is
 * measured with its size left free. Of several makes the one that the photos' edges bear out best is taken, of its
 * several rests the mean. Where no fit holds to the sightings, they alone say where the ring is, with all their doubt.
 */
export function measureRing(
  views: PerView<View>,
  axis: BlankAxis,
  candidate: RingCandidate,
  guides: readonly RingGuide[],
  planned?: RingGuide,
): FittedRing {
  const [first, ...others] = expectedMakes(axis, candidate, guides, planned);
  const tryFrom = (make: Make, starts: readonly RingState[]) =>
    starts.flatMap((start) => trial(views, axis, candidate, { make, start, effort: quick }) ?? []).sort(byRank);
  const likeliest = tryFrom(first!, startsOf(axis, candidate, first!.expected));
  const readings = others.reduce((before, make) => {
    const near = before[0]?.fit.state;
    const starts = startsOf(axis, candidate, make.expected);
    return [...before, ...tryFrom(make, near ? [withShape(near, make), starts[0]!] : starts)].sort(byRank);
  }, likeliest);
  const finer = apart(readings)
    .slice(0, measuring.thorough)
    .flatMap((t) => trial(views, axis, candidate, { make: t.make, start: withShape(t.fit.state, t.make) }) ?? []);
  const tried = [...finer, ...readings].sort(byRank);
  const best = tried[0];
  if (best) {
    const joined = { ...best, fit: { ...best.fit, state: joinedState(best, tried, (t) => finer.includes(t)) } };
    const read = withOtherReadings(honestCovariance(joined.fit), candidate, joined, tried);
    const covariance = best.make.unknown ? withSizeDoubted(read, candidate) : read;
    return describeRing(views, axis, candidate, { ...joined.fit, covariance, score: best.rank });
  }
  return bySightingsAlone(views, axis, candidate);
}

/** What a candidate may be, and how likely before its rims are read, as a log. */
interface Make {
  expected: ExpectedRing;
  prior: number;
  unknown?: true;
}

interface Trial extends RingReadingTried {
  make: Make;
}

const byRank = (a: Trial, b: Trial) => b.rank - a.rank;

/** The trials that found places of their own, of each make. */
const apart = (trials: readonly Trial[]) =>
  trials.filter(
    (t, i) => !trials.slice(0, i).some((o) => o.make === t.make && between(o.fit.state, t.fit.state) < measuring.apart),
  );

/** What a candidate may be, the likeliest first, a ring of unknown make last. */
function expectedMakes(
  axis: BlankAxis,
  candidate: RingCandidate,
  guides: readonly RingGuide[],
  here: RingGuide | undefined,
): Make[] {
  const { along, right, up, outer, outerSigma } = candidate;
  const height = Math.hypot(right, up) - blankRadius(axis, along);
  const heightSigma = radialSigma(candidate);
  const planned: Make[] = [];
  for (const [i, guide] of guides.entries()) {
    if (guides.slice(0, i).some((other) => sameMake(other, guide))) continue;
    const size = (guide.ringOuter / 2 - outer) / outerSigma;
    const stands = (guide.height - height) / Math.hypot(heightSigma, measuring.heightSpread);
    // The make planned here is always tried: another is not to be claimed because this one was never looked at.
    const plannedHere = here && sameMake(here, guide);
    if (!plannedHere && (Math.abs(size) > measuring.alike || Math.abs(stands) > measuring.alike)) continue;
    const { freedom } = radiusReading;
    const odds = plannedHere ? measuring.plannedHere : 0;
    planned.push({
      expected: plannedRing(guide),
      prior: odds - ((freedom + 1) / 2) * Math.log(1 + size ** 2 / freedom),
    });
  }
  const unknown = unknownRing(
    { mean: outer, sigma: outerSigma },
    { mean: height, sigma: Math.hypot(heightSigma, 0.5) },
  );
  return [
    ...planned.sort((a, b) => b.prior - a.prior),
    { expected: unknown, prior: -measuring.unknownMake, unknown: true },
  ];
}

const sameMake = (a: RingGuide, b: RingGuide): boolean =>
  a.ringOuter === b.ringOuter && a.ringInner === b.ringInner && a.height === b.height && a.lean === b.lean;

/** Standard deviation of a candidate's distance from the axis, mm. */
function radialSigma({ right, up, covariance }: RingCandidate): number {
  const distance = Math.hypot(right, up);
  const [c, s] = [up / distance, right / distance];
  return Math.sqrt(s * s * covariance.right.right + 2 * s * c * covariance.right.up + c * c * covariance.up.up);
}

/**
 * Where the fit starts from: the candidate's centre, moved along its own doubt to the expected height (one photo knows
 * a ring's height only so), and a little to either side.
 */
function startsOf(axis: BlankAxis, candidate: RingCandidate, { shape, height }: ExpectedRing): RingState[] {
  const { covariance } = candidate;
  const distance = Math.hypot(candidate.right, candidate.up);
  // Away from the axis and sideways, as right and up turn with the ring's own roll.
  const [sin, cos] = [candidate.right / distance, candidate.up / distance];
  const direction = { along: 0, right: sin, up: cos };
  const gain = ringPlaceNames.map((a) => ringPlaceNames.reduce((sum, b) => sum + covariance[a][b] * direction[b], 0));
  const variance = ringPlaceNames.reduce((sum, a, i) => sum + direction[a] * gain[i]!, 0) + height.sigma ** 2;
  const miss = (blankRadius(axis, candidate.along) + height.mean - distance) / variance;
  const place = ringPlaceNames.map((name, i) => candidate[name] + gain[i]! * miss);
  const variances = [
    covariance.along.along,
    cos * cos * covariance.right.right - 2 * sin * cos * covariance.right.up + sin * sin * covariance.up.up,
    radialSigma(candidate) ** 2,
  ];
  const steps = variances.map((v) => Math.min(Math.sqrt(v), measuring.farthestStart));
  const alone = candidate.sightings.length === 1;
  return measuring.starts
    .filter(([along, , away]) => !alone || away === 0 || (away < 0 && along !== 0))
    .map(([along, sideways, away]) => {
      const [s, l, r] = [along * steps[0]!, sideways * steps[1]!, alone ? 0 : away * steps[2]!];
      return {
        ...shape.mean,
        along: place[0]! + s,
        right: place[1]! + l * cos + r * sin,
        up: place[2]! - l * sin + r * cos,
      };
    });
}

/** A place that another make's fit has found, with the shape of this one. */
const withShape = ({ along, right, up }: RingState, { expected }: Make): RingState => ({
  ...expected.shape.mean,
  along,
  right,
  up,
});

function trial(
  views: PerView<View>,
  axis: BlankAxis,
  candidate: RingCandidate,
  { make, start, effort }: { make: Make; start: RingState; effort?: Effort },
): Trial | undefined {
  const fit = fitRing(views, axis, make.expected, start, effort);
  const apart = fit && fromSightings(views, axis, candidate, fit);
  if (!fit || !apart || apart.worst > measuring.slip) return undefined;
  return { make, fit, rank: fit.evidence - strangeness(axis, make.expected, fit.state) - apart.cost + make.prior };
}

/**
 * How far a fitted centre shows from where the photos' sightings have it, in standard deviations, and as a loss of log
 * likelihood.
 */
function fromSightings(
  views: PerView<View>,
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
  const stands = Math.hypot(state.right, state.up) - blankRadius(axis, state.along);
  const misses = ringUnknowns.map((name) =>
    Number.isFinite(shape.sigma[name]) ? (state[name] - shape.mean[name]) / shape.sigma[name] : 0,
  );
  return [...misses, (stands - height.mean) / height.sigma].reduce(
    (sum, miss) => sum + 0.5 * Math.min(measuring.mostStrange, miss ** 2),
    0,
  );
}
