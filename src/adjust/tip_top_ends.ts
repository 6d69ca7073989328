import type { Stretch } from '../plan/stretch.ts';
import type { Estimate } from '../numerics/estimate.ts';
import { type PlanDatum, type TipTop, usualHome } from '../plan/plan.ts';
import type { ViewIndex } from '../vision/strip.ts';
import type { TubeEnd } from '../vision/tube_end.ts';

/** Where a tip-top's tube lies, arc lengths on the axis as it stands, mm; `u` standard uncertainty. */
export interface TipTopEnds {
  /** the closed end, toward the tip */
  closed: Estimate;
  /** the butt-side end */
  open: Estimate;
  /** views that show the butt-side end */
  views: ViewIndex[];
}

/** How a tip-top is built and measured (common practice, no source). */
export const tipTopBuild = {
  /** the ring's centre stands ahead of the tube's closed end by this share of its outer radius */
  ahead: { mean: 0.45, sigma: 0.2 },
  /** and this far above the blank, as a share of the same */
  rise: 0.85,
  /** how well a builder measures the tube's length, mm */
  tubeLength: 0.15,
  /** what all photos have in common at the tube's end, mm: a thread wrapped up to it, a drop of glue */
  shared: 0.12,
  /** the end is looked for so many standard deviations to either side of where ring and tube length have it */
  search: 3,
} as const;

/** Where a tube's two ends must lie by its ring's place alone. */
function endsByRing({ ringOuter, tubeLength }: TipTop, ring: Estimate): { closed: Estimate; open: Estimate } {
  const { ahead } = tipTopBuild;
  const closed: Estimate = {
    value: ring.value + (ahead.mean * ringOuter) / 2,
    u: Math.hypot(ring.u, (ahead.sigma * ringOuter) / 2),
  };
  return { closed, open: { value: closed.value + tubeLength, u: Math.hypot(closed.u, tipTopBuild.tubeLength) } };
}

/** The stretch of blank (arc lengths, mm) where a tube's butt-side end is to be looked for, by its ring's place. */
export function tubeEndRange(planned: TipTop, ring: Estimate): Stretch {
  const { open } = endsByRing(planned, ring);
  const { search } = tipTopBuild;
  return { from: open.value - search * open.u, to: open.value + search * open.u };
}

/** A tube's butt-side end as one photo shows it. */
export interface SeenTubeEnd extends TubeEnd {
  view: ViewIndex;
}

/**
 * The tube's two ends from its ring's place (arc length, mm) and from where the tube's butt-side end shows in the
 * photos. The closed end itself hides under the ring: it lies one tube length before the other, or where ring makers
 * put it, whichever is known better.
 */
export function tipTopEnds(shown: readonly SeenTubeEnd[], planned: TipTop, ring: Estimate): TipTopEnds {
  const { shared } = tipTopBuild;
  const { tubeLength } = planned;
  const { closed: byRing, open: expected } = endsByRing(planned, ring);
  const seen = shown.map(({ view, along, sigma }) => ({ view, value: along, u: sigma }));
  if (seen.length === 0) return { closed: byRing, open: expected, views: [] };
  const read = weighted(seen);
  // Photos that disagree by more than they should know less than they say.
  const spread = Math.sqrt(seen.reduce((sum, { value, u }) => sum + ((value - read.value) / u) ** 2, 0) / seen.length);
  const open = { value: read.value, u: Math.hypot(read.u * Math.max(1, spread), shared) };
  const byTube: Estimate = { value: open.value - tubeLength, u: Math.hypot(open.u, tipTopBuild.tubeLength) };
  return { closed: weighted([byRing, byTube]), open, views: seen.map(({ view }) => view) };
}

/** Mean by the inverse variances. */
function weighted(estimates: readonly Estimate[]): Estimate {
  const weight = estimates.reduce((sum, { u }) => sum + 1 / u ** 2, 0);
  return {
    value: estimates.reduce((sum, { value, u }) => sum + value / u ** 2, 0) / weight,
    u: 1 / Math.sqrt(weight),
  };
}

/**
 * What plan distances count from, arc length on the axis as it stands, mm. The blank's own end sits `home` mm behind
 * the tube's closed end, known as well as builders usually push it home.
 */
export function tipTopZero(
  { home = usualHome.mm }: TipTop,
  datum: PlanDatum | undefined,
  ring: Estimate,
  { closed, open }: TipTopEnds,
): Estimate {
  if (datum === 'tip-top-ring') return ring;
  if (datum === 'tube-end') return open;
  return { value: closed.value + home, u: Math.hypot(closed.u, usualHome.sigma) };
}
