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
  const centre = (start.tip + start.butt) / 2;
  const n = x.length;
  if (n < 10) return undefined;
  const { leaning = false, repeat = 1 } = options;
  const count = leaning ? 7 : 6;
  // Parameters: tip, butt, log blur, height, level, slope, and the lean last.
  let p = [start.tip, start.butt, Math.log(start.blur), start.height, start.level, start.slope];
  if (leaning) p.push(0);
  const priorWeight = Math.sqrt(repeat) / 0.3;
  const evaluate = (q: number[], normals?: { h: Float64Array; g: Float64Array }): number => {
    const [tip, butt, logBlur, height, level, slope] = q as [number, number, number, number, number, number];
    const lean = q[6] ?? 0;
    const blur = Math.exp(logBlur);
    let cost = 0;
    for (let i = 0; i < n; i++) {
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
  };
  const prior = (q: number[], noise: number): number => noise * ((q[2]! - Math.log(blurPrior)) * priorWeight) ** 2;
  let cost = evaluate(p);
  let noise = Math.max(cost / n, 1e-6);
  let damping = 1e-3;
  let inverse: Float64Array | undefined;
  let settled = false;
  for (let iteration = 0; iteration < 40 && !settled; iteration++) {
    const normals = { h: new Float64Array(count * count), g: new Float64Array(count) };
    cost = evaluate(p, normals);
    noise = Math.max(cost / (n - count), 1e-6);
    const { h, g } = normals;
    h[2 * count + 2]! += noise * priorWeight ** 2;
    g[2]! -= noise * priorWeight ** 2 * (p[2]! - Math.log(blurPrior));
    const before = cost + prior(p, noise);
    for (let attempt = 0; ; attempt++) {
      if (attempt === 8) {
        settled = true;
        break;
      }
      const damped = Float64Array.from(h);
      for (let i = 0; i < count; i++) damped[i * count + i] = damped[i * count + i]! * (1 + damping) + 1e-9;
      const dampedFactor = choleskyFactor(damped, count);
      if (dampedFactor === undefined) return undefined;
      const step = choleskySolve(dampedFactor, count, g);
      const next = p.map((v, i) => v + step[i]!);
      if (next[1]! > next[0]! && evaluate(next) + prior(next, noise) <= before) {
        p = next;
        damping = Math.max(damping / 5, 1e-9);
        settled = Math.abs(step[0]!) + Math.abs(step[1]!) < 1e-5;
        break;
      }
      damping *= 6;
    }
    const factor = choleskyFactor(h, count);
    inverse = factor && choleskyInverse(factor, count);
  }
  if (inverse === undefined) return undefined;
  const [tip, butt, logBlur, height, level, slope] = p as [number, number, number, number, number, number];
  if (!(butt - tip > 0.05) || !p.every(Number.isFinite)) return undefined;
  cost = evaluate(p);
  const variance = (cost / (n - count)) * repeat;
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
