import type { Camera } from '../geometry/camera.ts';
import { solveLeastSquares } from '../numerics/least_squares.ts';
import type { Blank } from '../plan/plan.ts';
import type { LaneEdges, LaneStation } from '../vision/lane_edges.ts';
import type { OutlinePoint } from '../vision/outline.ts';
import { outlineBlocks, stationAt } from './blank_model.ts';
import type { BlankProblem } from './blank_problem.ts';
import { matchOutline, type OutlineMatch } from './outline_match.ts';
import type { PerPhoto } from '../photo/photo.ts';

/** One round of the search: how far from the model (mm) edges count, and whether only pairs of the blank's width do. */
export interface OutlineRound {
  reach: number;
  pairsFirst: boolean;
  /** take every so many stations only */
  stride?: number;
  /**
   * the fit ends where a step promises less than this of the cost (half a sum of squares of whitened residuals), where
   * edges are looked for anew from wherever it leads; absent: as far as rounding lets it
   */
  leastGain?: number;
}

export interface OutlineFit {
  values: Float64Array;
  /** per photo */
  points: OutlinePoint[][];
  matches: OutlineMatch[];
}

/** How outlines are followed. */
const following = {
  /** none is looked for nearer to the tip than this, mm */
  clearOfTip: 3,
  /** pairs are enough to go by where they are this share of the stations between which walks lie so far apart, mm */
  enoughPairs: 0.5,
  everyStation: 4,
  /** steps of the adjustment at most: the next look changes more than further steps would */
  mostSteps: 20,
} as const;

function* everyOne(stations: Iterable<LaneStation>, stride: number): Generator<LaneStation> {
  let k = 0;
  for (const station of stations) if (k++ % stride === 0) yield station;
}

/** Picks the edges that fit the blank as the problem has it, and adjusts axis and radius to them. */
export function fitOutline(
  { model, values, priors, to, edgeSigma }: BlankProblem,
  edges: PerPhoto<LaneEdges | undefined>,
  cameras: PerPhoto<Camera | undefined>,
  finish: Blank['finish'],
  { reach, pairsFirst, stride = 1, leastGain }: OutlineRound,
): OutlineFit {
  const range = { from: values[model.tip]! + following.clearOfTip, to };
  const matches = edges.map((own, i): OutlineMatch => {
    const camera = cameras[i];
    if (!own || !camera) return { points: [], looked: 0, paired: 0, worth: 0 };
    return matchOutline(
      { ...own, stations: everyOne(own.stations, stride) },
      camera,
      (t) => stationAt(model, values, t),
      range,
      { reach, finish },
    );
  });
  const all = matches.map(({ points }) => points);
  const pairs = all.map((points) => points.filter((p) => p.paired));
  const stations = (to - range.from) / (following.everyStation * stride);
  const enough = pairs.reduce((sum, own) => sum + own.length, 0) > following.enoughPairs * stations;
  const points = pairsFirst && enough ? pairs : all;
  // Sigma as if every station counted: fewer of them must not weigh less against what is known beforehand.
  const sigma = edgeSigma / Math.sqrt(stride);
  const observed = outlineBlocks(model, cameras, points, sigma);
  const solved = solveLeastSquares([...priors, ...observed], values, {
    constant: new Set([model.tip]),
    maximumIterations: following.mostSteps,
    ...(leastGain && { leastGain }),
  });
  return { values: solved.values, points, matches };
}
