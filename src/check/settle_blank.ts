import { type BlankSeen, type BlankSolution, blankSolution, fitWithTip } from '../adjust/blank_adjustment.ts';
import { chooseBlank, type ChosenBlank } from '../adjust/blank_choice.ts';
import { axisTable } from '../adjust/blank_model.ts';
import { type BlankProblem, endOf, outlineSigma } from '../adjust/blank_problem.ts';
import { fitOutline, type OutlineRound } from '../adjust/blank_rounds.ts';
import { laneOf } from '../adjust/mat_lane.ts';
import { type MatSolution, paperHeight } from '../adjust/mat_summary.ts';
import { prior } from '../adjust/prior.ts';
import type { HoldParts, PerPhoto, Photo } from '../photo/photo.ts';
import { holdingMeanwhile } from '../photo/photos_aside.ts';
import { InputError } from '../plan/input_error.ts';
import type { Blank } from '../plan/plan.ts';
import type { Rest } from '../plan/shoot.ts';
import { gripStart } from '../vision/grip_start.ts';
import { laneSpacing } from '../vision/lane_edges.ts';
import { edgesInLane, type LaneLook } from '../vision/lane_look.ts';
import { isBareInLane, isCoveredInLane } from '../vision/lane_bare.ts';
import { laneTips } from '../vision/lane_tip.ts';
import type { AxisStation } from '../vision/outline.ts';
import { findTips } from '../vision/tip.ts';
import { type LookAtTips, settleTip, tipReach, tipSearch } from './settle_tip.ts';

/**
 * The search for the outline draws in (mm). At first only places where both sides fit the blank's width count: a photo
 * that shows one side alone cannot tell it from a shadow before the axis stands. The first fits go on for long in small
 * steps, which the next look makes good: they end sooner.
 */
const rounds: readonly OutlineRound[] = [
  { reach: 1.5, pairsFirst: true, leastGain: 1e-2 },
  { reach: 1.2, pairsFirst: false, leastGain: 1e-2 },
  { reach: 0.6, pairsFirst: false },
  { reach: 0.6, pairsFirst: false },
];
const gripRound = 2;

/** What is expected to lie in the lane. */
export interface ExpectedBlank {
  blank: Blank;
  rest: Rest;
  /** the finder tells the blank from its shadow, so its word counts beside the outlines' whatever the blank's colour */
  toldApart?: boolean;
  /** its own size is what is asked, and the plan's only a first guess */
  isMeasured?: boolean;
  /** under a tip-top the end is only roughly where the blank begins to show, and nothing is said of how well */
  tipHidden: boolean;
  /** keeps what each photo shows across the lane; in memory when absent */
  hold?: HoldParts | undefined;
}

/**
 * The blank's axis, radius and tip from both outlines in all photos, the cameras and the mat held: looking and fitting
 * take turns, each look drawn in by the fit before. `look` = what the finder sees in the lane: which is the blank and
 * which its shadow, and where the tip end lies; `lookAtTips` = where it sees that near by. Throws InputError when the
 * blank or its tip end is in no photo.
 */
export async function settleBlank(
  photos: PerPhoto<Photo>,
  mat: MatSolution,
  expected: ExpectedBlank,
  look: LaneLook,
  lookAtTips: LookAtTips,
): Promise<BlankSolution> {
  const { blank, hold, tipHidden } = expected;
  const outlined = holdingMeanwhile(hold, (keeping) =>
    followOutlines(photos, mat, { ...expected, hold: keeping }, look),
  );
  const evidence = tipHidden ? { ...outlined, astray: 0 } : await settleTip(outlined, photos, mat, look, lookAtTips);
  return blankSolution(mat.cameras, blank.length, evidence, outlined.grip);
}

/** The blank by its outlines, and the ends that edges tell. */
interface OutlinedBlank extends BlankSeen {
  problem: BlankProblem;
  grip: number | undefined;
}

function followOutlines(
  photos: PerPhoto<Photo>,
  mat: MatSolution,
  expected: ExpectedBlank,
  look: LaneLook,
): OutlinedBlank {
  const { blank, tipHidden } = expected;
  const { cameras } = mat;
  const chosen = blankInLane(photos, mat, expected, look);
  let problem = tipHidden ? withRoughTip(chosen.problem) : chosen.problem;
  let seen: BlankSeen = { points: [], tips: [] };
  let grip: number | undefined;
  const search = tipSearch(mat, tipReach);
  for (const [i, round] of rounds.entries()) {
    if (i === gripRound) {
      grip = gripOn(problem, photos, mat, blank, look);
      if (grip !== undefined)
        problem = { ...problem, to: Math.min(problem.to, problem.values[problem.model.tip]! + grip) };
    }
    const { points, values } = fitOutline(problem, chosen.edges, cameras, blank.finish, round);
    problem = { ...problem, values };
    seen = { points, tips: findTips(photos, cameras, endOf(problem), search) };
    problem = fitWithTip(problem, cameras, seen, round);
  }
  return { problem, ...seen, grip };
}

/** Where the blank lies in the lane by what crosses it in all photos. */
function blankInLane(
  photos: PerPhoto<Photo>,
  mat: MatSolution,
  { blank, rest, hold, toldApart = false, isMeasured = false }: ExpectedBlank,
  look: LaneLook,
): ChosenBlank {
  const lane = laneOf(mat);
  // A light blank's shadow may pass for it with the finder: several photos' outlines are the better witness then.
  const isAlone = mat.cameras.filter(Boolean).length === 1;
  const asked = toldApart || blank.finish === 'dark' || isAlone;
  const plane = { lane, height: walkHeight(blank, rest), hold };
  const edges = edgesInLane(photos, mat.cameras, plane, asked ? look : undefined);
  const edgeSigma = isMeasured || isAlone ? outlineSigma.alone : outlineSigma.together;
  const isTip = (end: AxisStation) => laneTips(look, mat.cameras, end).length > 0;
  const chosen = chooseBlank(edges, mat.cameras, lane, { blank, rest, isTip, hold, edgeSigma }, (x, y) =>
    paperHeight(mat, x, y),
  );
  if (!chosen)
    throw new InputError(
      'The blank was not found in any photo: lay it along the white lane between the two rows of squares, clear of other things, and shoot again.',
    );
  // Where the outlines end with the paper, the blank may go on over the bench to an end that the finder sees.
  if (!chosen.tipSeen && !isTip(endOf(chosen.problem)))
    throw new InputError(
      'The tip end of the blank could not be made out in any photo: take one more photo over the tip with a hand’s breadth of white paper beyond it.',
    );
  return chosen;
}

/** The plane (mm over the paper) in which the lane is walked: about the axis's height where most of the blank lies. */
const walkHeight = (blank: Blank, rest: Rest): number =>
  rest.kind === 'blocks' ? rest.axisHeight : Math.max(2, (rest.gripDiameter ?? blank.buttDiameter) / 4);

const withRoughTip = (problem: BlankProblem): BlankProblem => ({
  ...problem,
  priors: [...problem.priors, prior(problem.model.tip, problem.from, laneSpacing)],
});

/** Where the grip begins, once the axis stands well enough to look for it: outlines are followed to there. */
function gripOn(
  { model, values }: BlankProblem,
  photos: PerPhoto<Photo>,
  mat: MatSolution,
  blank: Blank,
  look: LaneLook,
): number | undefined {
  const views = photos.flatMap((photo, i) => {
    const camera = mat.cameras[i];
    return camera ? [{ photo, camera }] : [];
  });
  const axis = axisTable(model, values, blank.length);
  return gripStart(views, axis, (stretch) =>
    [isBareInLane, isCoveredInLane].some((isIt) => isIt(look, mat.cameras, axis, stretch)),
  );
}
