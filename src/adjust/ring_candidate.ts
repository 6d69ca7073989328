import { besideAxis, type BlankAxis, blankRadius, crossSection } from '../geometry/blank_axis.ts';
import type { Vector3 } from '../geometry/vector.ts';
import { choleskyFactor, choleskySolve } from '../numerics/cholesky.ts';
import { type Covariance, covarianceOf } from '../numerics/covariance.ts';
import type { RingSighting } from '../vision/finder/sighting.ts';
import { stripPlace } from '../vision/finder/strip_place.ts';
import type { View, PerView } from '../vision/strip.ts';
import { heightOf, sightedSize } from './sighted_size.ts';
import { ringColumn, type RingPlaceName, ringPlaceNames } from './ring_state.ts';

/** A ring that the sightings of one photo or more agree on, before its rims are measured; mm. */
export interface RingCandidate {
  /** one sighting a photo at most */
  sightings: RingSighting[];
  /** the centre: arc length of its foot on the axis, and its place in the blank's cross-section */
  along: number;
  right: number;
  up: number;
  /** mm^2 */
  covariance: Covariance<RingPlaceName>;
  /** outer radius */
  outer: number;
  outerSigma: number;
  /**
   * sum over the sightings of how surely each shows a ring, less what they disagree by; grows with every photo that
   * agrees
   */
  weight: number;
}

/** How sightings are joined. */
export const joining = {
  /**
   * how exactly a sighting's centre is read, mm on the strip: a share of a cell of the finder's map, and of the ring's
   * radius
   */
  centre: { least: 0.6, ofRadius: 0.08 },
  /**
   * guides are taped on near the top; degrees from the bench's up within which one stands before it counts against it
   */
  roll: 25,
  /** a sighting within this many standard deviations of where a ring must show joins it */
  gate: 3,
  /**
   * log odds that every further photo adds by agreeing on the place: what is none seldom shows at one point in space
   */
  agreement: 1.2,
  /** the finder's score is held between these, and at this one a sighting as likely shows no ring as one */
  score: { least: 0.02, most: 0.98, even: 0.35 },
  /** a ring's lowest point may seem this much below the paper, mm */
  belowPaper: 2,
  /** steps to its place at most, and the move (mm) below which it stands; a centre is this far off the axis at least */
  steps: 8,
  settled: 1e-3,
  leastDistance: 0.1,
  /**
   * a place that so many photos show stands: a further sighting is held against it as it is, the place is found anew
   * once they are more by this share, and its sightings are tried no further; each other is tried with so many, the
   * nearest: so time grows in line with the photos. Its gate is a little narrower, as the place still moves
   */
  standing: { sightings: 13, share: 0.5, partners: 30, gate: 2.5 },
} as const;

/** How exactly a sighting of this radius (mm) tells its centre, on its strip and either way, mm. */
export const sightingSigma = (radius: number): number =>
  Math.hypot(joining.centre.least, joining.centre.ofRadius * radius);

/**
 * The weight of one sighting: log odds, were the finder's score a probability; held where scores are no longer
 * calibrated.
 */
export const weightOf = (score: number): number => {
  const { least, most, even } = joining.score;
  const p = Math.min(Math.max(score, least), most);
  return Math.log(p / (1 - p)) - Math.log(even / (1 - even));
};

export const bySight = (a: RingSighting, b: RingSighting): number =>
  a.view - b.view || a.along - b.along || a.across - b.across || b.score - a.score;

export const byWeight = (a: RingCandidate, b: RingCandidate): number => b.weight - a.weight || a.along - b.along;

/** One sighting's part of the fit: where a centre shows on its strip, and how far that is from where it was seen. */
interface Reading {
  sighting: RingSighting;
  view: View;
  sigma: number;
}

/**
 * The likeliest ring centre for a set of sightings (Gauss-Newton from the axis up; three unknowns, two readings a
 * photo, and what is known of guides' heights and rolls as observations); undefined when they do not meet, or where no
 * ring can stand.
 */
export function placeCandidate(
  views: PerView<View>,
  axis: BlankAxis,
  sightings: readonly RingSighting[],
): RingCandidate | undefined {
  const size = sightedSize(views, axis, sightings);
  if (!size) return undefined;
  const readings = sightings.map((sighting): Reading => {
    return { sighting, view: views[sighting.view]!, sigma: sightingSigma(sighting.radius) };
  });
  const mean = sightings.reduce((sum, s) => sum + s.along, 0) / sightings.length;
  const { kind } = sightings[0]!;
  let place: Place = [mean, 0, blankRadius(axis, mean) + heightOf(kind, size.outer).mean];
  let normal: Normal | undefined;
  for (let i = 0; i < joining.steps; i++) {
    normal = normalAt(axis, readings, place, size.outer);
    if (!normal) return undefined;
    const step = choleskySolve(normal.factor, 3, normal.gradient);
    place = [place[0] + step[0]!, place[1] + step[1]!, place[2] + step[2]!];
    if (Math.hypot(step[0]!, step[1]!, step[2]!) < joining.settled) break;
  }
  normal = normalAt(axis, readings, place, size.outer);
  if (!normal || normal.worst > joining.gate) return undefined;
  const lowest = centreOf(axis, place)[2] - (kind === 'snake' ? 0 : size.outer);
  if (lowest < -joining.belowPaper || !isFinite(place[0])) return undefined;
  const { factor } = normal;
  const columns = ringPlaceNames.map((a) =>
    choleskySolve(
      factor,
      3,
      Float64Array.from(ringPlaceNames, (b) => +(a === b)),
    ),
  );
  const covariance = covarianceOf(ringPlaceNames, (a, b) => columns[ringColumn[a]]![ringColumn[b]]!);
  const agreement = joining.agreement * (sightings.length - 1);
  const weight = sightings.reduce((sum, s) => sum + weightOf(s.score), agreement) - normal.cost - size.cost;
  return {
    sightings: sightings.toSorted(bySight),
    along: place[0],
    right: place[1],
    up: place[2],
    covariance,
    outer: size.outer,
    outerSigma: size.sigma,
    weight,
  };
}

/** A centre by its foot on the axis and its place in the blank's cross-section, mm. */
type Place = readonly [along: number, right: number, up: number];

/** A ring's centre in the bench frame, mm. */
export const centreOf = (axis: BlankAxis, [along, right, up]: Place): Vector3 =>
  besideAxis(crossSection(axis, along), right, up);

interface Normal {
  factor: Float64Array;
  gradient: Float64Array;
  /** half the sum of squares */
  cost: number;
  /** the largest single misfit of a sighting, in standard deviations */
  worst: number;
}

function normalAt(axis: BlankAxis, readings: readonly Reading[], place: Place, outer: number): Normal | undefined {
  const matrix = new Float64Array(9);
  const gradient = new Float64Array(3);
  let cost = 0;
  let worst = 0;
  const add = (row: readonly number[], residual: number) => {
    for (let i = 0; i < 3; i++) {
      gradient[i]! += row[i]! * residual;
      for (let j = 0; j < 3; j++) matrix[i * 3 + j]! += row[i]! * row[j]!;
    }
    cost += 0.5 * residual ** 2;
  };
  for (const { sighting, view, sigma } of readings) {
    const at = (p: Place) => stripPlace(view.camera, axis, centreOf(axis, p), sighting.along);
    const here = at(place);
    const moved = [0, 1, 2].map((k) => at([place[0] + +(k === 0), place[1] + +(k === 1), place[2] + +(k === 2)]));
    if (!here || moved.some((m) => !m)) return undefined;
    const miss = [(sighting.along - here.along) / sigma, (sighting.across - here.across) / sigma] as const;
    worst = Math.max(worst, Math.abs(miss[0]), Math.abs(miss[1]));
    add(
      moved.map((m) => (m!.along - here.along) / sigma),
      miss[0],
    );
    add(
      moved.map((m) => (m!.across - here.across) / sigma),
      miss[1],
    );
  }
  const distance = Math.max(Math.hypot(place[1], place[2]), joining.leastDistance);
  const [sin, cos] = [place[1] / distance, place[2] / distance];
  const height = heightOf(readings[0]!.sighting.kind, outer);
  const expected = blankRadius(axis, place[0]) + height.mean;
  add([0, sin / height.sigma, cos / height.sigma], (expected - distance) / height.sigma);
  const roll = (Math.atan2(place[1], place[2]) * 180) / Math.PI / joining.roll;
  const turn = 180 / Math.PI / joining.roll / distance;
  add([0, cos * turn, -sin * turn], -roll);
  const factor = choleskyFactor(matrix, 3);
  return factor && { factor, gradient, cost, worst };
}
