import type { BlankAxis } from '../geometry/blank_axis.ts';
import { type Camera, cameraCentre } from '../geometry/camera.ts';
import { norm, subtract } from '../geometry/vector.ts';
import { basisAt, splineValue } from '../geometry/spline.ts';
import { parameterCovariance, solveLeastSquares } from '../numerics/least_squares.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import { median } from '../numerics/robust.ts';
import type { Photo, PerPhoto, PhotoIndex } from '../photo/photo.ts';
import { InputError } from '../plan/input_error.ts';
import type { Blank } from '../plan/plan.ts';
import type { Rest } from '../plan/shoot.ts';
import { laneSpacing } from '../vision/lane_edges.ts';
import type { OutlinePoint } from '../vision/outline.ts';
import { gripStart } from '../vision/grip_start.ts';
import { findTip, type TipPoint } from '../vision/tip.ts';
import { chooseBlank } from './blank_choice.ts';
import { edgesAcross, type LaneLook } from './lane_look.ts';
import { laneTips } from './lane_tip.ts';
import { axisTable, type BlankModel, outlineBlock, splinePrior, stationAt, tipBlock } from './blank_model.ts';
import type { BlankProblem } from './blank_problem.ts';
import { edgeSigma, fitOutline, type OutlineRound } from './blank_rounds.ts';
import { type MatSolution, paperHeight } from './mat_summary.ts';
import { laneOf } from './mat_lane.ts';
import { prior } from './prior.ts';

export interface BlankSolution {
  model: BlankModel;
  values: Float64Array;
  axis: BlankAxis;
  /** standard uncertainty of the tip's place along the axis, cameras held, mm */
  tipSigma: number;
  /**
   * standard uncertainty of the axis across and in height by arc length, cameras held: rows every `step` mm from the
   * tip
   */
  axisSigma: { step: number; side: number[]; height: number[] };
  /** photos that show the tip end */
  tipPhotos: PhotoIndex[];
  /** arc lengths of blank seen with clear outlines, per photo */
  covers: PerPhoto<{ from: number; to: number } | undefined>;
  /** where the grip or seat begins, arc length, mm; undefined where no photo shows that */
  grip: number | undefined;
  /** per photo: median signed miss of its outline points from the common axis, mm across; large when the rod moved */
  misses: number[];
  /** what it was solved from */
  evidence: BlankEvidence;
  /** covariance of `values`, row by row, cameras held; undefined when the photos do not determine them all */
  covariance: Float64Array | undefined;
}

export interface BlankEvidence {
  problem: BlankProblem;
  /** outline points, per photo */
  points: OutlinePoint[][];
  tips: SeenTip[];
  /** how far the end looked for again lay from where it was found, at most, mm */
  astray: number;
}

/** The tip end as one photo shows it. */
interface SeenTip {
  photo: PhotoIndex;
  point: TipPoint;
}

/**
 * The search for the outline draws in (mm). At first only places where both sides fit the blank's width count: a photo
 * that shows one side alone cannot tell it from a shadow before the axis stands.
 */
const rounds: readonly OutlineRound[] = [
  { reach: 1.5, pairsFirst: true },
  { reach: 1.2, pairsFirst: false },
  { reach: 0.6, pairsFirst: false },
  { reach: 0.6, pairsFirst: false },
];
const gripRound = 2;
/** How far the first guess of the tip may be off, and how much paper beyond it is looked at, mm. */
const tipReach = 16;

/**
 * The blank's axis, radius and tip from both outlines in all photos, the cameras and the mat held. Throws InputError
 * when the blank or its tip end is in no photo. Under a tip-top (`tipHidden`) the end is only roughly where the blank
 * begins to show, and nothing is said of how well. `look` = what the finder sees in the lane: which is the blank and
 * which its shadow, and where the end is when no edge tells it.
 */
export function adjustBlank(
  photos: readonly Photo[],
  mat: MatSolution,
  blank: Blank,
  rest: Rest,
  { tipHidden = false, look }: { tipHidden?: boolean; look?: () => LaneLook } = {},
): BlankSolution {
  const lane = laneOf(mat);
  // A light blank's hard shadow may pass for it with the finder: several photos' outlines are the better witness then.
  const asked = blank.finish === 'dark' || mat.cameras.filter(Boolean).length === 1;
  const looked = asked ? look?.() : undefined;
  const edges = edgesAcross(photos, mat, walkHeight(blank, rest), looked);
  const chosen = chooseBlank(edges, mat.cameras, lane, { blank, rest }, (x, y) => paperHeight(mat, x, y));
  if (!chosen)
    throw new InputError(
      'The blank was not found in any photo: lay it along the white lane between the two rows of squares, clear of other things, and shoot again.',
    );
  if (!chosen.tipSeen)
    throw new InputError(
      'The tip end of the blank is in no photo: take one more photo over the tip with a hand’s breadth of white paper beyond it.',
    );
  let { problem } = chosen;
  if (tipHidden)
    problem = { ...problem, priors: [...problem.priors, prior(problem.model.tip, problem.from, laneSpacing)] };
  let tips: SeenTip[] = [];
  let points: OutlinePoint[][] = [];
  let grip: number | undefined;
  for (const [i, round] of rounds.entries()) {
    if (i === gripRound) {
      grip = gripOn(problem, photos, mat, blank);
      if (grip !== undefined)
        problem = { ...problem, to: Math.min(problem.to, problem.values[problem.model.tip]! + grip) };
    }
    const fit = fitOutline(problem, chosen.edges, mat.cameras, blank.finish, round);
    points = fit.points;
    tips = findTips(photos, mat, problem.model, fit.values);
    problem = { ...problem, values: withTip(problem, mat, points, tips, fit.values) };
  }
  const byEdge = tips.length > 0;
  if (!byEdge && !tipHidden && look) {
    const end = stationAt(problem.model, problem.values, problem.values[problem.model.tip]!);
    tips = laneTips(looked ?? look(), mat.cameras, end);
    problem = { ...problem, values: withTip(problem, mat, points, tips, problem.values) };
  }
  if (tips.length === 0 && !tipHidden)
    throw new InputError(
      'The tip end of the blank could not be made out against the paper: take one more photo straight over the tip, with white paper beyond it.',
    );
  // Looked for again from where it was found, the end must be there: a line or speck beside it can make two of it.
  const end = stationAt(problem.model, problem.values, problem.values[problem.model.tip]!);
  const offsets = (byEdge ? tips : []).map(
    ({ photo }) => findTip(photos[photo]!, mat.cameras[photo]!, end, tipReach)?.offset ?? 1,
  );
  const astray = Math.max(0, ...offsets.map(Math.abs));
  return summary(mat, blank.length, { problem, points, tips, astray }, grip);
}

/** Where the grip begins, once the axis stands well enough to look for it: outlines are followed to there. */
function gripOn(
  { model, values }: BlankProblem,
  photos: readonly Photo[],
  mat: MatSolution,
  blank: Blank,
): number | undefined {
  const views = photos.flatMap((photo, i) => {
    const camera = mat.cameras[i];
    return camera ? [{ photo, camera }] : [];
  });
  return gripStart(views, axisTable(model, values, blank.length));
}

/** The plane (mm over the paper) in which the lane is walked: about the axis's height where most of the blank lies. */
const walkHeight = (blank: Blank, rest: Rest): number =>
  rest.kind === 'blocks' ? rest.axisHeight : Math.max(2, (rest.gripDiameter ?? blank.buttDiameter) / 4);

function findTips(photos: readonly Photo[], mat: MatSolution, model: BlankModel, values: Float64Array) {
  const end = stationAt(model, values, values[model.tip]!);
  return photos.flatMap((photo, i) => {
    const camera = mat.cameras[i];
    const point = camera && findTip(photo, camera, end, tipReach);
    return point ? [{ photo: i, point }] : [];
  });
}

function observations(
  { model, values }: Pick<BlankProblem, 'model' | 'values'>,
  mat: MatSolution,
  points: readonly (readonly OutlinePoint[])[],
  tips: readonly SeenTip[],
): ResidualBlock[] {
  return [
    ...points.flatMap((own, i) => own.map((point) => outlineBlock(model, mat.cameras[i]!, point, edgeSigma))),
    ...tips.map(({ photo, point }) => tipBlock(model, mat.cameras[photo]!, point, values[model.tip]!)),
  ];
}

function withTip(
  problem: BlankProblem,
  mat: MatSolution,
  points: readonly (readonly OutlinePoint[])[],
  tips: readonly SeenTip[],
  values: Float64Array,
): Float64Array {
  const observed = observations({ model: problem.model, values }, mat, points, tips);
  return solveLeastSquares([...problem.priors, ...observed], values, {
    constant: tips.length === 0 ? new Set([problem.model.tip]) : new Set<number>(),
    maximumIterations: 30,
  }).values;
}

function summary(mat: MatSolution, length: number, evidence: BlankEvidence, grip: number | undefined): BlankSolution {
  const { problem, points, tips, astray } = evidence;
  const { model, values, priors } = problem;
  const observed = observations({ model, values }, mat, points, tips);
  const covariance = parameterCovariance([...priors, ...observed], values, new Set());
  const tipVariance = covariance ? covariance[model.tip * values.length + model.tip]! : 1;
  return {
    model,
    values,
    covariance,
    axis: axisTable(model, values, length),
    tipSigma: Math.hypot(Math.sqrt(tipVariance), astray),
    axisSigma: axisSigma(model, values, covariance, length),
    tipPhotos: tips.map((t) => t.photo),
    covers: points.map((own) => coverage(own, values[model.tip]!)),
    grip,
    misses: points.map((own, i) => {
      const camera = mat.cameras[i];
      return camera ? medianMiss(own, model, values, camera) : 0;
    }),
    evidence,
  };
}

/**
 * The blank adjusted once more with what bands on its surface say of its height: `heights` = mm to add to the axis at
 * arc lengths. Outlines tell height poorly (a shadow shifts both), so the bands' word goes before theirs.
 */
export function liftBlank(
  { axis, values: before, evidence, grip }: BlankSolution,
  mat: MatSolution,
  heights: readonly { along: number; value: number; u: number }[],
): BlankSolution {
  const { problem, points, tips } = evidence;
  const { model } = problem;
  const tip = before[model.tip]!;
  const lifted = heights.map(({ along, value, u }) => {
    const height = splineValue(model.spline, before, model.height, tip + along) + value;
    return splinePrior(model.spline, model.height, tip + along, height, bandsFirst * u);
  });
  const raised = { ...problem, priors: [...problem.priors, ...lifted] };
  const values = withTip(raised, mat, points, tips, before);
  const length = (axis.points.length - 2) * axis.step;
  const solution = summary(mat, length, { ...evidence, problem: { ...raised, values } }, grip);
  const { step, side, height } = solution.axisSigma;
  const nearest = (s: number) => heights.reduce((a, b) => (Math.abs(b.along - s) < Math.abs(a.along - s) ? b : a));
  return { ...solution, axisSigma: { step, side, height: height.map((u, i) => Math.max(u, nearest(i * step).u)) } };
}

/** So much more are bands believed than their own doubt says, that outlines do not pull against them. */
const bandsFirst = 0.4;

function axisSigma(
  model: BlankModel,
  values: Float64Array,
  covariance: Float64Array | undefined,
  length: number,
): BlankSolution['axisSigma'] {
  const step = 20;
  const size = values.length;
  const of = (first: number, s: number) => {
    const basis = basisAt(model.spline, values[model.tip]! + s);
    let sum = 0;
    for (let i = 0; i < 4; i++)
      for (let j = 0; j < 4; j++)
        sum +=
          basis.weights[i as 0]! *
          basis.weights[j as 0]! *
          (covariance?.[(first + basis.first + i) * size + first + basis.first + j] ?? 1);
    return Math.sqrt(Math.max(sum, 0));
  };
  const rows = Array.from({ length: Math.ceil(length / step) + 1 }, (_, i) => i * step);
  return { step, side: rows.map((s) => of(model.side, s)), height: rows.map((s) => of(model.height, s)) };
}

/** Standard uncertainty of the axis at arc length `s` (mm), across and in height. */
export function axisSigmaAt({ axisSigma: table }: BlankSolution, s: number): { side: number; height: number } {
  const i = Math.min(Math.max(Math.round(s / table.step), 0), table.side.length - 1);
  return { side: table.side[i]!, height: table.height[i]! };
}

function coverage(points: readonly OutlinePoint[], tip: number): { from: number; to: number } | undefined {
  if (points.length < 6) return undefined;
  const ts = points.map((p) => p.t);
  return { from: Math.min(...ts) - tip, to: Math.max(...ts) - tip };
}

function medianMiss(points: readonly OutlinePoint[], model: BlankModel, values: Float64Array, camera: Camera): number {
  const residual = new Float64Array(1);
  const misses = points.map((point) => {
    outlineBlock(model, camera, point, 1).evaluate(values, residual, undefined);
    const distance = norm(subtract(cameraCentre(camera), stationAt(model, values, point.t).point));
    return (residual[0]! * point.side * distance) / camera.intrinsics.focal;
  });
  return misses.length === 0 ? 0 : median(misses);
}
