import type { BlankAxis } from '../geometry/blank_axis.ts';
import { type Camera, cameraCentre } from '../geometry/camera.ts';
import { norm, subtract } from '../geometry/vector.ts';
import { basisAt, splineValue } from '../geometry/spline.ts';
import { parameterCovariance, solveLeastSquares } from '../numerics/least_squares.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import { median } from '../numerics/robust.ts';
import type { PerPhoto, PhotoIndex } from '../photo/photo.ts';
import type { OutlinePoint } from '../vision/outline.ts';
import type { SeenTip } from '../vision/tip.ts';
import {
  axisTable,
  type BlankModel,
  outlineBlock,
  outlineBlocks,
  splinePrior,
  stationAt,
  tipBlock,
} from './blank_model.ts';
import type { BlankProblem } from './blank_problem.ts';
import type { OutlineRound } from './blank_rounds.ts';

type Cameras = PerPhoto<Camera | undefined>;

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

export interface BlankEvidence extends BlankSeen {
  problem: BlankProblem;
  /** how far the end looked for again lay from where it was found, at most, mm */
  astray: number;
}

/** What the photos show of the blank: outline points per photo, and the tip end in those that show it. */
export interface BlankSeen {
  points: PerPhoto<readonly OutlinePoint[]>;
  tips: readonly SeenTip[];
}

/** How the blank is solved and told. */
const solving = {
  /** steps at most: from where its outlines were followed it settles in a few */
  mostSteps: 30,
  /** mm between rows of its doubt: splines bend slowly */
  doubtEvery: 20,
  /** outline points without which a photo says nothing of how far it covers the blank */
  leastPoints: 6,
} as const;

function observations(
  { model, values, edgeSigma }: Pick<BlankProblem, 'model' | 'values' | 'edgeSigma'>,
  cameras: Cameras,
  { points, tips }: BlankSeen,
): ResidualBlock[] {
  return [...outlineBlocks(model, cameras, points, edgeSigma), ...tipBlocks({ model, values }, cameras, tips)];
}

const tipBlocks = (
  { model, values }: Pick<BlankProblem, 'model' | 'values'>,
  cameras: Cameras,
  tips: BlankSeen['tips'],
): ResidualBlock[] => tips.map(({ photo, point }) => tipBlock(model, cameras[photo]!, point, values[model.tip]!));

/** The problem with its values adjusted to outlines and tip together, the cameras held; a tip not seen stays. */
export function fitWithTip(
  problem: BlankProblem,
  cameras: Cameras,
  seen: BlankSeen,
  { leastGain }: Pick<OutlineRound, 'leastGain'> = {},
): BlankProblem {
  const { model, values, priors } = problem;
  const solved = solveLeastSquares([...priors, ...observations(problem, cameras, seen)], values, {
    constant: seen.tips.length === 0 ? new Set([model.tip]) : new Set<number>(),
    maximumIterations: solving.mostSteps,
    ...(leastGain && { leastGain }),
  });
  return { ...problem, values: solved.values };
}

/**
 * Axis, radius and tip of a fitted blank of so many mm, with their doubt, the cameras held. `grip` = arc length where
 * the grip or seat begins.
 */
export function blankSolution(
  cameras: Cameras,
  length: number,
  evidence: BlankEvidence,
  grip: number | undefined,
): BlankSolution {
  const { problem, points, tips, astray } = evidence;
  const { model, values, priors } = problem;
  const observed = observations(problem, cameras, evidence);
  const covariance = parameterCovariance([...priors, ...observed], values, new Set());
  const tipVariance = covariance ? covariance[model.tip * values.length + model.tip]! : 1;
  return {
    model,
    values,
    covariance,
    axis: axisTable(model, values, length),
    tipSigma: Math.hypot(Math.sqrt(tipVariance) * scatter(tipBlocks(problem, cameras, tips), values), astray),
    axisSigma: axisSigma(model, values, covariance, length),
    tipPhotos: [...new Set(tips.map((tip) => tip.photo))],
    covers: points.map((own) => coverage(own, values[model.tip]!)),
    grip,
    misses: points.map((own, i) => {
      const camera = cameras[i];
      return camera ? medianMiss(own, model, values, camera) : 0;
    }),
    evidence,
  };
}

/**
 * How many times as far apart as their doubt allows several words for one thing lie, at least 1 (Birge 1932): their
 * mean is doubted so much more.
 */
function scatter(words: readonly ResidualBlock[], values: Float64Array): number {
  if (words.length < 2) return 1;
  const residual = new Float64Array(1);
  const squares = words.map((word) => {
    word.evaluate(values, residual, undefined);
    return residual[0]! ** 2;
  });
  return Math.sqrt(Math.max(1, squares.reduce((a, b) => a + b, 0) / (words.length - 1)));
}

/**
 * The blank adjusted once more with what bands on its surface say of its height: `heights` = mm to add to the axis at
 * arc lengths. Outlines tell height poorly (a shadow shifts both), so the bands' word goes before theirs.
 */
export function liftBlank(
  { axis, values: before, evidence, grip }: BlankSolution,
  cameras: Cameras,
  heights: readonly { along: number; value: number; u: number }[],
): BlankSolution {
  const { problem } = evidence;
  const { model } = problem;
  const tip = before[model.tip]!;
  const lifted = heights.map(({ along, value, u }) => {
    const height = splineValue(model.spline, before, model.height, tip + along) + value;
    return splinePrior(model.spline, model.height, tip + along, height, bandsFirst * u);
  });
  const raised = { ...problem, priors: [...problem.priors, ...lifted] };
  const fitted = fitWithTip(raised, cameras, evidence);
  const length = (axis.points.length - 2) * axis.step;
  const solution = blankSolution(cameras, length, { ...evidence, problem: fitted }, grip);
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
  const step = solving.doubtEvery;
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
  if (points.length < solving.leastPoints) return undefined;
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
