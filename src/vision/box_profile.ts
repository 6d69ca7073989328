import { choleskyFactor, choleskyInverse, choleskySolve } from '../numerics/cholesky.ts';
import { normalDensity, normalShareBelow } from '../numerics/normal_distribution.ts';

/**
 * A band seen across: level + slope x + (height + lean x) [F((x - tip) / blur) - F((x - butt) / blur)] with x from the
 * band's middle and F the normal distribution function, that is, a box blurred by lens, sensor and ragged edges.
 * Positions in the unit of x (mm).
 */
export interface BoxProfile {
  tip: number;
  butt: number;
  blur: number;
  height: number;
  level: number;
  slope: number;
  /** slope of the box's top against its ground; 0 unless asked for */
  lean: number;
}

export interface BoxFit extends BoxProfile {
  /** standard uncertainty of both edges and their correlation, from noise alone and white noise assumed */
  edgeU: [number, number];
  edgeCorrelation: number;
  residual: number;
  /** residual mean square over the box's mean square: near 0 = a clean band */
  misfit: number;
}

/** What a fit goes by. */
interface BoxProblem {
  x: ArrayLike<number>;
  y: ArrayLike<number>;
  /** the band's middle, where level and lean are counted from */
  centre: number;
  /** unknowns: tip, butt, log blur, height, level, slope, and the lean last */
  count: 6 | 7;
  /** the logarithm of the blur as known beforehand, and one over its standard deviation */
  logBlur: number;
  priorWeight: number;
}

/** Matrix (lower triangle, row by row) and right side of the normal equations. */
interface Normals {
  h: Float64Array;
  g: Float64Array;
}

/** The sum of squared residuals; adds up the normal equations where asked. */
function squares({ x, y, centre, count }: BoxProblem, p: readonly number[], normals?: Normals): number {
  const [tip, butt, logBlur, height, level, slope] = p as [number, number, number, number, number, number];
  const lean = p[6] ?? 0;
  const blur = Math.exp(logBlur);
  let cost = 0;
  for (let i = 0; i < x.length; i++) {
    const zt = (x[i]! - tip) / blur;
    const zb = (x[i]! - butt) / blur;
    const box = normalShareBelow(zt) - normalShareBelow(zb);
    const d = x[i]! - centre;
    const top = height + lean * d;
    const r = y[i]! - (level + slope * d + (height + lean * d) * box);
    cost += r * r;
    if (normals === undefined) continue;
    const dt = normalDensity(zt);
    const db = normalDensity(zb);
    const j = [(-top * dt) / blur, (top * db) / blur, top * (db * zb - dt * zt), box, 1, d, d * box];
    for (let a = 0; a < count; a++) {
      normals.g[a]! += j[a]! * r;
      for (let b = 0; b <= a; b++) normals.h[a * count + b]! += j[a]! * j[b]!;
    }
  }
  return cost;
}

/** What the blur's being known beforehand adds to the squares, at a noise's mean square. */
const priorSquares = ({ logBlur, priorWeight }: BoxProblem, p: readonly number[], noise: number): number =>
  noise * ((p[2]! - logBlur) * priorWeight) ** 2;

/** How the fit goes down, and what it takes for a band (the method's own habits; held to `strip.test.ts`). */
const fitting = {
  /** steps at most, and attempts at one, each damped more, before the fit counts as settled */
  mostIterations: 40,
  attempts: 8,
  /** both edges together move less than this (mm) where the fit has settled: finer costs steps and tells nothing */
  settledMove: 1e-5,
  /** damping of the first step; a step that goes down divides it, to a least value, one that doesn't multiplies it */
  damping: { first: 1e-3, down: 5, up: 6, least: 1e-9 },
  /** keeps the normal matrix solvable where an unknown moves nothing */
  ridge: 1e-9,
  /** least mean square of the noise: without any, the blur's prior would weigh nothing */
  leastNoise: 1e-6,
  /** samples without which no box is fitted */
  leastSamples: 10,
  /** what is known of the blur beforehand: its logarithm's standard deviation, a factor of about 1.35 */
  blurLatitude: 0.3,
  /** narrower than this (mm) a box is no band: it has shrunk onto one sample */
  narrowest: 0.05,
} as const;

/**
 * One step down, damped until it goes down; unknowns as they were where none does, undefined where none can be solved.
 */
function descend(
  problem: BoxProblem,
  p: number[],
  { h, g }: Normals,
  at: { cost: number; noise: number; damping: number },
): { p: number[]; damping: number; settled: boolean } | undefined {
  const { count } = problem;
  const { down, up, least } = fitting.damping;
  let { damping } = at;
  for (let attempt = 0; attempt < fitting.attempts; attempt++) {
    const damped = Float64Array.from(h);
    for (let i = 0; i < count; i++) damped[i * count + i] = damped[i * count + i]! * (1 + damping) + fitting.ridge;
    const factor = choleskyFactor(damped, count);
    if (factor === undefined) return undefined;
    const step = choleskySolve(factor, count, g);
    const next = p.map((v, i) => v + step[i]!);
    if (next[1]! > next[0]! && squares(problem, next) + priorSquares(problem, next, at.noise) <= at.cost) {
      const settled = Math.abs(step[0]!) + Math.abs(step[1]!) < fitting.settledMove;
      return { p: next, damping: Math.max(damping / down, least), settled };
    }
    damping *= up;
  }
  return { p, damping, settled: true };
}

/**
 * The unknowns at the least squares, and the inverse of the normal matrix there. A loop of its own: what the blur's
 * prior weighs hangs on the noise, taken anew at each step, and `solveLeastSquares`, solved again for each noise, took
 * six times as long on 3000 drawn bands.
 */
function settle(problem: BoxProblem, start: number[]): { p: number[]; inverse: Float64Array } | undefined {
  const { count, logBlur, priorWeight } = problem;
  let p = start;
  let damping: number = fitting.damping.first;
  let inverse: Float64Array | undefined;
  let settled = false;
  for (let iteration = 0; iteration < fitting.mostIterations && !settled; iteration++) {
    const normals = { h: new Float64Array(count * count), g: new Float64Array(count) };
    const cost = squares(problem, p, normals);
    const noise = Math.max(cost / (problem.x.length - count), fitting.leastNoise);
    normals.h[2 * count + 2]! += noise * priorWeight ** 2;
    normals.g[2]! -= noise * priorWeight ** 2 * (p[2]! - logBlur);
    const before = cost + priorSquares(problem, p, noise);
    const next = descend(problem, p, normals, { cost: before, noise, damping });
    if (next === undefined) return undefined;
    ({ p, damping, settled } = next);
    const factor = choleskyFactor(normals.h, count);
    inverse = factor && choleskyInverse(factor, count);
  }
  return inverse && { p, inverse };
}

/**
 * Least squares (Levenberg 1944, Marquardt 1963) of a blurred box on samples (x, y); undefined when it does
 * not settle. `blurPrior` is known to a factor of about 1.35; `leaning` lets the top slope against the ground, as
 * shading does; `repeat` = how many neighbouring samples share one pixel's noise.
 */
export function fitBox(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  start: Omit<BoxProfile, 'lean'>,
  blurPrior: number,
  options: { leaning?: boolean; repeat?: number } = {},
): BoxFit | undefined {
  const n = x.length;
  if (n < fitting.leastSamples) return undefined;
  const { leaning = false, repeat = 1 } = options;
  const centre = (start.tip + start.butt) / 2;
  const count = leaning ? 7 : 6;
  const problem: BoxProblem = {
    x,
    y,
    centre,
    count,
    logBlur: Math.log(blurPrior),
    priorWeight: Math.sqrt(repeat) / fitting.blurLatitude,
  };
  const first = [start.tip, start.butt, Math.log(start.blur), start.height, start.level, start.slope];
  const found = settle(problem, leaning ? [...first, 0] : first);
  if (found === undefined) return undefined;
  const { p, inverse } = found;
  const [tip, butt, logBlur, height, level, slope] = p as [number, number, number, number, number, number];
  if (!(butt - tip > fitting.narrowest) || !p.every(Number.isFinite)) return undefined;
  const variance = (squares(problem, p) / (n - count)) * repeat;
  const u = (i: number): number => Math.sqrt(Math.max(inverse[i * count + i]! * variance, 0));
  const power = height ** 2 * ((butt - tip) / (x[n - 1]! - x[0]!));
  return {
    tip,
    butt,
    blur: Math.exp(logBlur),
    height,
    level,
    slope,
    lean: p[6] ?? 0,
    edgeU: [u(0), u(1)],
    edgeCorrelation: u(0) * u(1) > 0 ? (inverse[1]! * variance) / (u(0) * u(1)) : 0,
    residual: Math.sqrt(variance / repeat),
    misfit: variance / repeat / power,
  };
}
