import type { FittedRing } from '../adjust/fitted_ring.ts';
import type { BlankAxis } from '../geometry/blank_axis.ts';
import { InputError } from '../plan/input_error.ts';
import { type Plan, ringOf } from '../plan/plan.ts';
import { guidesAreOn, type Shoot } from '../plan/shoot.ts';
import type { Finder } from '../vision/finder/finder.ts';
import { lookAlongStrip } from '../vision/finder/look_along_strip.ts';
import type { StripSeen } from '../vision/finder/sighting.ts';
import type { View, PerView, ViewIndex } from '../vision/strip.ts';
import { findRings, type PlannedGuide } from './find_rings.ts';
import { findSnakes, type FoundSnake } from './find_snakes.ts';
import type { FoundTipTop } from './find_tip_top.ts';

/** Throws InputError where a shoot of guides has none to check. */
export function refuseWithoutGuides({ positions }: Plan, { stage }: Shoot): void {
  if (guidesAreOn(stage) && !positions.some(({ guide }) => guide))
    throw new InputError('The plan has no guides, so there are no rings to check: add the guides, or shoot the marks.');
}

/** Looks along the blank in one view; `index` is its place in the list of views. */
export type LookAlongView = (view: View, index: ViewIndex, axis: BlankAxis) => StripSeen | undefined;

/** Looks with the finder, from before the tip; once while a view's photo, its camera and the axis are the same. */
export function lookingAlong(finder: Finder, plan: Plan): LookAlongView {
  const range = lookedAlong(plan);
  const looks = new Map<ViewIndex, { view: View; axis: BlankAxis; seen: StripSeen | undefined }>();
  return (view, index, axis) => {
    const before = looks.get(index);
    if (before?.axis === axis && before.view.photo === view.photo && before.view.camera === view.camera)
      return before.seen;
    const seen = lookAlongStrip(finder, view, index, axis, range);
    looks.set(index, { view, axis, seen });
    return seen;
  };
}

/** What every placed photo shows along the blank. `onView` is told the share that is done. */
export async function lookAlong(
  look: LookAlongView,
  views: PerView<View>,
  axis: BlankAxis,
  onView: (done: number) => void | Promise<void>,
): Promise<StripSeen[]> {
  const seen: StripSeen[] = [];
  for (const [index, view] of views.entries()) {
    await onView(index / views.length);
    const strip = look(view, index, axis);
    if (strip) seen.push(strip);
  }
  return seen;
}

/** The same, in one go. */
export const seenAlong = (look: LookAlongView, views: PerView<View>, axis: BlankAxis): StripSeen[] =>
  views.flatMap((view, index) => look(view, index, axis) ?? []);

const lookedAlong = (plan: Plan) => ({ from: beforeTip, to: plan.blank.length });

/** A tip-top's ring stands this far before the blank's end at most, mm. */
const beforeTip = -30;

/** What was seen of the rod before its guides are measured. */
export interface LookedOver {
  views: PerView<View>;
  axis: BlankAxis;
  /** where the grip begins, mm; undefined where no photo shows that */
  grip: number | undefined;
  start: number;
  seen: readonly StripSeen[];
  tipTop: FoundTipTop | undefined;
}

/** The guides on the blank, but for the tip-top. */
export function findGuides(
  plan: Plan,
  shoot: Shoot,
  { views, axis, grip, start, seen, tipTop }: LookedOver,
): { rings: FittedRing[]; snakes: FoundSnake[] } {
  if (!guidesAreOn(shoot.stage)) return { rings: [], snakes: [] };
  const guides = ringGuides(plan, start);
  const to = grip ?? plan.blank.length;
  const range = { from: tipTop ? tipTop.ends.open.value : axis.from, to };
  const { rings } = findRings(views, axis, seen, guides, { ...range, blankLength: plan.blank.length });
  return findSnakes(views, axis, seen, rings, range);
}

/** The planned guides with a ring, with places counted from the tip-side end of what lies on the mat. */
export function ringGuides(plan: Plan, start: number): PlannedGuide[] {
  return plan.positions.flatMap(({ id, at, guide: planned }) => {
    const guide = ringOf(planned);
    return guide ? [{ id, at: at - start, guide }] : [];
  });
}
