import type { FittedRing } from '../adjust/fitted_ring.ts';
import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { InputError } from '../plan/input_error.ts';
import { type Plan, ringOf } from '../plan/plan.ts';
import { guidesAreOn, type Shoot } from '../plan/shoot.ts';
import { isBareOfGuide } from '../vision/finder/bare_blank.ts';
import type { StripSeen } from '../vision/finder/sighting.ts';
import { cellsIn } from '../vision/finder/strip_cells.ts';
import type { View, PerView, ViewIndex } from '../vision/strip.ts';
import { findRings, type PlannedGuide } from './find_rings.ts';
import { findSnakes, type FoundSnake } from './find_snakes.ts';
import type { FoundTipTop } from './find_tip_top.ts';
import type { Hands, TellShare } from './hands.ts';

/** Throws InputError where a shoot of guides has none to check. */
export function refuseWithoutGuides({ positions }: Plan, { stage }: Shoot): void {
  if (guidesAreOn(stage) && !positions.some(({ guide }) => guide))
    throw new InputError('The plan has no guides, so there are no rings to check: add the guides, or shoot the marks.');
}

/** What every placed photo shows along the blank. `onView` is told the share that is done. */
export type LookAlong = (views: PerView<View>, axis: BlankAxis, onView?: TellShare) => Promise<StripSeen[]>;

/** Looks with the finder, from before the tip; once while a view's photo, its camera and the axis are the same. */
export function lookingAlong(hands: Hands, plan: Plan): LookAlong {
  const range = lookedAlong(plan);
  const looks = new Map<ViewIndex, { view: View; axis: BlankAxis; seen: StripSeen | undefined }>();
  return async (views, axis, onView) => {
    const isNew = (view: View, index: ViewIndex) => {
      const before = looks.get(index);
      return before?.axis !== axis || before.view.photo !== view.photo || before.view.camera !== view.camera;
    };
    const missing = views.flatMap((view, index) => (isNew(view, index) ? [{ view, index }] : []));
    const seen = await hands.each('strip', missing.length, (i) => ({ ...missing[i]!, axis, range }), onView);
    for (const [i, { view, index }] of missing.entries()) looks.set(index, { view, axis, seen: seen[i] });
    return views.flatMap((_, index) => looks.get(index)!.seen ?? []);
  };
}

const lookedAlong = (plan: Plan) => ({ from: beforeTip, to: plan.blank.length });

/** A tip-top's ring stands this far before the blank's end at most, mm. */
const beforeTip = -30;

/** A grip is none where so much of it is bare blank, mm. */
const bareBeyondGrip = 40;

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
export async function findGuides(
  plan: Plan,
  shoot: Shoot,
  { views, axis, grip, start, seen, tipTop }: LookedOver,
  hands: Hands,
): Promise<{ rings: FittedRing[]; snakes: FoundSnake[] }> {
  if (!guidesAreOn(shoot.stage)) return { rings: [], snakes: [] };
  const guides = ringGuides(plan, start);
  const to = grip !== undefined && !isBareBeyond(seen, axis, grip) ? grip : plan.blank.length;
  const range = { from: tipTop ? tipTop.ends.open.value : axis.from, to };
  const { rings } = await findRings(views, axis, seen, guides, { ...range, blankLength: plan.blank.length, hands });
  return findSnakes(views, axis, seen, rings, range);
}

/**
 * Whether all photos that show what is taken for the grip show bare blank there from near by: a block and its shadow
 * may pass for one.
 */
function isBareBeyond(seen: readonly StripSeen[], axis: BlankAxis, grip: number): boolean {
  const radius = blankRadius(axis, grip);
  const box = { along: { from: grip, to: grip + bareBeyondGrip }, across: { from: -radius, to: radius } };
  const shown = seen.filter(({ classes }) => cellsIn(classes, box, radius));
  return shown.length > 0 && shown.every(({ classes }) => isBareOfGuide(classes, box, radius));
}

/** The planned guides with a ring, with places counted from the tip-side end of what lies on the mat. */
export function ringGuides(plan: Plan, start: number): PlannedGuide[] {
  return plan.positions.flatMap(({ id, at, guide: planned }) => {
    const guide = ringOf(planned);
    return guide ? [{ id, at: at - start, guide }] : [];
  });
}
