import { joinSightings } from '../adjust/join_sightings.ts';
import type { RingCandidate } from '../adjust/ring_candidate.ts';
import type { FittedRing } from '../adjust/fitted_ring.ts';
import { whereItTells } from '../adjust/telling_views.ts';
import { presenceOf } from '../adjust/ring_presence.ts';
import type { BlankAxis } from '../geometry/blank_axis.ts';
import { sigmaOf } from '../numerics/covariance.ts';
import type { RingGuide } from '../plan/plan.ts';
import { matchPlaces } from '../verdict/match.ts';
import type { StripSeen } from '../vision/finder/sighting.ts';
import type { View, PerView } from '../vision/strip.ts';
import type { Hands } from './hands.ts';

/** A planned guide with a ring. */
export interface PlannedGuide {
  id: string;
  /** mm from the tip-side end of the blank on the mat */
  at: number;
  guide: RingGuide;
}

/** When sightings are claimed as a ring. */
export const claims = {
  /** log odds that a ring needs, planned or not: one photo alone must be rather sure of it, or two agree */
  ring: 0.6,
  /** a guide's frame and foot reach this far from its ring along the blank, mm, besides the radii */
  frame: 14,
  /**
   * where two sightings lie within one guide's reach, this many photos must show both, or they are one ring read twice
   */
  shared: 2,
} as const;

/** What photos show of guides' rings. */
export interface FoundRings {
  /** from tip to butt, each with its rims measured */
  rings: FittedRing[];
  /** what may be a ring but is too doubtful to be claimed as one */
  doubtful: RingCandidate[];
}

/**
 * The rings that the photos show between `from` and `to` (mm along the blank). Whether there is one is decided by the
 * photos alone; the plan only lends the size of the guide that belongs where a ring was seen, for measuring it.
 */
export async function findRings(
  views: PerView<View>,
  axis: BlankAxis,
  seen: readonly StripSeen[],
  guides: readonly PlannedGuide[],
  { hands, ...range }: { from: number; to: number; blankLength: number; hands: Hands },
): Promise<FoundRings> {
  if (guides.length === 0) return { rings: [], doubtful: [] };
  const sightings = seen.flatMap((strip) => strip.sightings.filter(({ kind }) => kind === 'ring'));
  const candidates = joinSightings(views, axis, sightings)
    .filter(({ along }) => along > range.from && along < range.to)
    .map((candidate) => ({ candidate, odds: presenceOf(views, axis, seen, candidate) }))
    .sort((a, b) => b.odds - a.odds || a.candidate.along - b.candidate.along);
  const claimed: RingCandidate[] = [];
  const doubtful: RingCandidate[] = [];
  for (const { candidate, odds } of candidates) {
    const apart = claimed.every((other) => standApart(other, candidate));
    (odds >= claims.ring && apart ? claimed : doubtful).push(candidate);
  }
  const planned = guidesAt(claimed, guides, range.blankLength);
  const makes = guides.map(({ guide }) => guide);
  const ringAmongAll: ((ring: FittedRing) => FittedRing)[] = [];
  // a long one that is begun last keeps one thread busy and the other waiting
  const longestFirst = claimed.toSorted((a, b) => rimsOf(b) - rimsOf(a));
  const measured = await hands.each('ring', longestFirst.length, (place) => {
    const candidate = longestFirst[place]!;
    const { looked, amongAll } = whereItTells(views, axis, candidate, makes, planned.get(candidate)?.guide);
    ringAmongAll[place] = amongAll;
    return looked;
  });
  const rings = measured.map((ring, place) => ringAmongAll[place]!(ring)).sort((a, b) => a.along - b.along);
  return { rings, doubtful };
}

/** How much of a ring's rims photos show, mm: measuring it takes about as long. */
const rimsOf = ({ outer, sightings }: RingCandidate): number => 2 * Math.PI * outer * sightings.length;

/** Whether two candidates are two rings: out of each other's frames, or both seen in the same photos. */
function standApart(a: RingCandidate, b: RingCandidate): boolean {
  if (Math.abs(a.along - b.along) > claims.frame + a.outer + b.outer) return true;
  const shared = a.sightings.filter(({ view }) => b.sightings.some((s) => s.view === view));
  return shared.length >= claims.shared;
}

/** The guide that belongs where each ring was seen, by place and size in order along the rod. */
function guidesAt(
  claimed: readonly RingCandidate[],
  guides: readonly PlannedGuide[],
  blankLength: number,
): Map<RingCandidate, PlannedGuide> {
  const { pairs } = matchPlaces(
    guides.map(({ id, at, guide }) => ({ id, at, ring: guide })),
    claimed.map(({ along, covariance, outer, outerSigma }) => ({
      along: { value: along, u: sigmaOf(covariance, 'along') },
      ringOuter: { value: 2 * outer, u: 2 * outerSigma },
    })),
    blankLength,
  );
  return new Map(pairs.map((pair) => [claimed[pair.found]!, guides[pair.planned]!]));
}
