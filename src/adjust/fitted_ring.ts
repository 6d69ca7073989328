import { type BlankAxis, blankRadius, crossSection, rollOf } from '../geometry/blank_axis.ts';
import { cameraCentre, project } from '../geometry/camera.ts';
import { ringRims } from '../geometry/ring.ts';
import type { Pixel, Vector3 } from '../geometry/vector.ts';
import { type Covariance, covarianceOf } from '../numerics/covariance.ts';
import type { View, ViewIndex, PerView } from '../vision/strip.ts';
import type { RingCandidate } from './ring_candidate.ts';
import { placeRing, type RingState, unknownRing } from './ring_state.ts';

/** What a ring's covariance is of: its centre in the blank's cross-section and its outer diameter, mm. */
export const ringMeasures = ['along', 'right', 'up', 'ringOuter'] as const;
export type RingMeasure = (typeof ringMeasures)[number];
export type RingCovariance = Covariance<RingMeasure>;

/** A guide ring found on the blank. */
export interface FittedRing {
  /** the sightings it was measured from */
  candidate: RingCandidate;
  /** mm along the blank's axis from the tip: the foot of the ring's centre on the axis */
  along: number;
  /** the bore's centre, bench frame, mm */
  centre: Vector3;
  /** mm, the centre's place in the blank's cross-section */
  right: number;
  up: number;
  /** degrees about the axis, from the bench's up */
  roll: number;
  /** mm from the blank's surface to the centre */
  height: number;
  /** degrees */
  lean: number;
  /** mm, diameters of the visible rims */
  ringOuter: number;
  ringInner: number;
  /** mm^2 */
  covariance: RingCovariance;
  /** log likelihood ratio of this ring over chance edges; 0 where its sightings alone tell of it */
  score: number;
  /** the views used */
  views: ViewIndex[];
  edges: number;
  rims: { view: ViewIndex; polylines: Pixel[][] }[];
  /** which way its one foot points, where the photos agree on it */
  footToward?: 'tip' | 'butt';
}

/** Covariance as the sightings alone tell it. */
export const sightingCovariance = ({ covariance, outerSigma }: RingCandidate): RingCovariance =>
  covarianceOf(ringMeasures, (a, b) => {
    if (a === 'ringOuter' || b === 'ringOuter') return a === b ? (2 * outerSigma) ** 2 : 0;
    return covariance[a][b];
  });

/**
 * The visible outline lies this far inside the true one, mm: the edge is rounded, white bleeds over it, and polished
 * rims mirror the paper.
 */
export const visibleInset = 0.1;

/** The ring as its sightings have it, none of its rims read. */
export function bySightingsAlone(views: PerView<View>, axis: BlankAxis, candidate: RingCandidate): FittedRing {
  const { along, right, up, outer, outerSigma, sightings } = candidate;
  const height = Math.hypot(right, up) - blankRadius(axis, along);
  const { mean } = unknownRing({ mean: outer, sigma: outerSigma }, { mean: height, sigma: 1 }).shape;
  const state = { ...mean, along, right, up };
  return describeRing(views, axis, candidate, {
    state,
    score: 0,
    covariance: sightingCovariance(candidate),
    views: sightings.map(({ view }) => view),
    edges: 0,
  });
}

/** What is handed on of a fit. */
export interface RingReading {
  covariance: RingCovariance;
  views: ViewIndex[];
  edges: number;
  state: RingState;
  score: number;
}

export function describeRing(
  views: PerView<View>,
  axis: BlankAxis,
  candidate: RingCandidate,
  { state, covariance, views: used, edges, score }: RingReading,
): FittedRing {
  const { ring } = placeRing(axis, state);
  const section = crossSection(axis, state.along);
  const facing = footOf(candidate);
  return {
    candidate,
    ...(facing && { footToward: facing }),
    along: state.along,
    centre: ring.centre,
    right: state.right,
    up: state.up,
    roll: rollOf(section, ring.centre),
    height: Math.hypot(state.right, state.up) - section.radius,
    lean: (state.lean * 180) / Math.PI,
    ringOuter: 2 * (ring.outer + visibleInset),
    ringInner: 2 * ring.inner,
    covariance,
    score,
    views: used,
    edges,
    rims: used.map((view) => {
      const { camera } = views[view]!;
      const polylines = ringRims(ring, cameraCentre(camera), 64).map((run) =>
        run.map((p) => project(camera, p.point)).filter((p) => p !== undefined),
      );
      return { view, polylines };
    }),
  };
}

/** When sightings tell which way a foot points: by how much more they give it one way than the other, 0 to 1. */
const foot = {
  /** two photos at least give it so much */
  likely: 0.4,
  /** and none gives the other way more than this, */
  contrary: 0.2,
  /** or there is one photo only, and it is this sure */
  sure: 0.8,
} as const;

/**
 * Which way a single foot points, where two photos agree on it and none speaks against it, or one alone is very sure.
 */
function footOf({ sightings }: RingCandidate): 'tip' | 'butt' | undefined {
  const ways = sightings.map(({ footToward }) => footToward.tip - footToward.butt);
  for (const [way, sign] of [
    ['tip', 1],
    ['butt', -1],
  ] as const) {
    const agreeing = ways.filter((d) => sign * d > foot.likely);
    const against = ways.some((d) => sign * d < -foot.contrary);
    const sure = ways.length === 1 && sign * ways[0]! > foot.sure;
    if (!against && (agreeing.length >= 2 || sure)) return way;
  }
  return undefined;
}
