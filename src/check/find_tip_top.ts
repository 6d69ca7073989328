import type { Stretch } from '../plan/stretch.ts';
import { joinSightings } from '../adjust/join_sightings.ts';
import type { FittedRing } from '../adjust/fitted_ring.ts';
import { measureLookedAt, whereItTells } from '../adjust/telling_views.ts';
import { presenceOf } from '../adjust/ring_presence.ts';
import { axisSigmaAt, type BlankSolution } from '../adjust/blank_adjustment.ts';
import {
  type SeenTubeEnd,
  type TipTopEnds,
  tipTopBuild,
  tipTopEnds,
  tipTopZero,
  tubeEndRange,
} from '../adjust/tip_top_ends.ts';
import { type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { cameraCentre } from '../geometry/camera.ts';
import { dot, subtract } from '../geometry/vector.ts';
import { sigmaOf } from '../numerics/covariance.ts';
import { InputError } from '../plan/input_error.ts';
import { type Plan, planStart, type RingGuide, type TipTop } from '../plan/plan.ts';
import type { MeasuredTipTop } from '../verdict/measured_shoot.ts';
import type { StripSeen } from '../vision/finder/sighting.ts';
import type { PerView, View } from '../vision/strip.ts';
import { findTubeEnd } from '../vision/tube_end.ts';
import type { RingCandidate } from '../adjust/ring_candidate.ts';
import { isPaper } from '../vision/finder/band_look.ts';
import { claims } from './find_rings.ts';
import type { Measuring } from './measuring.ts';
import { ringPlace } from './place_doubt.ts';
import { ringCentre } from './places.ts';
import type { RollZero } from './roll_zero.ts';

/** A tip-top as the photos show it: its ring by its rims, and its tube's ends, on the axis as it stands. */
export interface FoundTipTop {
  ring: FittedRing;
  ends: TipTopEnds;
}

/**
 * A tip-top's ring lies this near to where the blank begins to show, mm: the end itself is hidden, and only roughly
 * known. One that may be a guide's has paper beyond it, so many mm off.
 */
const reach = { before: 25, beyond: 15, paper: { from: 6, to: 16 } };

/**
 * The tip-top at the blank's tip-side end. Whether there is one is decided by the photos alone; the plan lends its
 * ring's size, for measuring it. Throws InputError where none can be made out: every distance on the rod counts from
 * it.
 */
export function findTipTop(
  views: PerView<View>,
  axis: BlankAxis,
  seen: readonly StripSeen[],
  planned: TipTop,
): FoundTipTop {
  // At the blank's very end a ring is the tip-top's, whichever of the two it looks like to the finder.
  const sightings = seen.flatMap((strip) =>
    strip.sightings
      .filter(
        ({ kind, along }) => kind !== 'snake' && along > axis.from - reach.before && along < axis.from + reach.beyond,
      )
      .map((sighting) => ({ ...sighting, kind: 'tip-top' as const })),
  );
  const best = joinSightings(views, axis, sightings)
    .map((candidate) => ({ candidate, odds: presenceOf(views, axis, seen, candidate) }))
    .sort((a, b) => b.odds - a.odds)[0];
  if (!best || best.odds < claims.ring || !isLast(best.candidate, seen))
    throw new InputError(
      'The tip-top could not be made out, and all distances hang on it: take one more photo straight over it, with white paper round it and nothing over it; if it is not on the rod, take it out of the plan.',
    );
  const like = asGuide(planned);
  const { looked, amongAll } = whereItTells(views, axis, best.candidate, [like], like);
  const ring = amongAll(measureLookedAt(looked));
  const place = alongOf(ring);
  return { ring, ends: tipTopEnds(tubeEndsShown(views, axis, tubeEndRange(planned, place)), planned, place) };
}

/** Whether some photo shows a tip-top's ring, or nothing beyond the ring that is taken for it but paper. */
const isLast = ({ sightings }: RingCandidate, seen: readonly StripSeen[]): boolean =>
  sightings.some(({ view, along }) => {
    const strip = seen.find((own) => own.view === view)!;
    const isCalledSo = strip.sightings.some((own) => own.kind === 'tip-top' && own.along === along);
    return isCalledSo || isPaper(strip.classes, { from: along - reach.paper.to, to: along - reach.paper.from });
  });

/** Each photo's look at the tube's butt-side end. */
const tubeEndsShown = (views: PerView<View>, axis: BlankAxis, range: Stretch): SeenTubeEnd[] =>
  views.flatMap((view, index) => {
    const end = findTubeEnd(view, axis, range);
    return end ? [{ view: index, ...end }] : [];
  });

const alongOf = ({ along, covariance }: FittedRing) => ({ value: along, u: sigmaOf(covariance, 'along') });

/** A tip-top's ring as that of a low guide. */
const asGuide = ({ ringOuter, ringInner }: TipTop): RingGuide => ({
  ringOuter,
  ringInner,
  height: (tipTopBuild.rise * ringOuter) / 2,
  lean: 0,
  foot: 'single',
});

/** The blank with the doubt of where distances begin, and what turns arc lengths into the plan's distances. */
export function countedFrom(
  plan: Plan,
  blank: BlankSolution,
  tipTop: FoundTipTop | undefined,
  views: PerView<View>,
): { blank: BlankSolution; start: number } {
  if (!plan.tipTop || !tipTop) return { blank, start: planStart(plan) };
  const datum = tipTopZero(plan.tipTop, plan.datum, alongOf(tipTop.ring), tipTop.ends);
  const byHeight = slantOver(tipTop.ring, blank.axis, views) * axisSigmaAt(blank, 0).height;
  return {
    blank: { ...blank, tipSigma: Math.hypot(datum.u, byHeight) },
    start: (plan.section?.startsAt ?? 0) - datum.value,
  };
}

/** How far along a ring seems to lie for each mm that the axis is higher than it is taken to be, by its photos; mm. */
function slantOver({ centre, along, views: showing }: FittedRing, axis: BlankAxis, views: PerView<View>): number {
  const section = crossSection(axis, along);
  const slants = showing.map((view) => {
    const sight = subtract(cameraCentre(views[view]!.camera), centre);
    return dot(sight, section.along) / dot(sight, section.up);
  });
  return Math.abs(slants.reduce((sum, slant) => sum + slant, 0)) / Math.max(slants.length, 1);
}

/** The tip-top's roll, counted as a guide's. */
export function tipTopMeasured({ ring }: FoundTipTop, zero: RollZero, measuring: Measuring): MeasuredTipTop {
  const { roll } = ringPlace(ringCentre(ring), zero, measuring);
  return { sighting: 'found', ...(roll && { roll }) };
}
