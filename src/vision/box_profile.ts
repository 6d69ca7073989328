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

/** Abramowitz and Stegun 1964, 7.1.26, absolute error under 1.5e-7. */
function erf(x: number): number {
  const t = 1 / (1 + 0.3275911 * Math.abs(x));
  const tail =
    t *
    (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))) *
    Math.exp(-x * x);
  return x < 0 ? tail - 1 : 1 - tail;
}
const normal = (z: number): number => 0.5 * (1 + erf(z / Math.SQRT2));
const density = (z: number): number => Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);

/** Inverse of a symmetric positive definite matrix by Gauss-Jordan; undefined when it is singular. */
function invert(matrix: readonly (readonly number[])[]): number[][] | undefined {
  const n = matrix.length;
  const a = matrix.map((row, i) => [...row, ...Array.from({ length: n }, (_, j) => (i === j ? 1 : 0))]);
  for (let i = 0; i < n; i++) {
    let pivot = i;
    for (let r = i + 1; r < n; r++) if (Math.abs(a[r]![i]!) > Math.abs(a[pivot]![i]!)) pivot = r;
    if (!(Math.abs(a[pivot]![i]!) > 1e-12)) return undefined;
    [a[i], a[pivot]] = [a[pivot]!, a[i]!];
    const scale = a[i]![i]!;
    for (let c = 0; c < 2 * n; c++) a[i]![c]! /= scale;
    for (let r = 0; r < n; r++) {
      const factor = a[r]![i]!;
      if (r === i || factor === 0) continue;
      for (let c = 0; c < 2 * n; c++) a[r]![c]! -= factor * a[i]![c]!;
    }
  }
  return a.map((row) => row.slice(n));
}

/**
 * Least squares (Levenberg 1944, Marquardt 1963) of a blurred box on samples (x, y); undefined when it does
 * not settle. `blurPrior` is known to a factor of about 1.35; `leaning` lets the top slope against the ground, as shading does;
 * `repeat` = how many neighbouring samples share one pixel's noise.
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
  const zeros = (): number[] => p.map(() => 0);
  const priorWeight = Math.sqrt(repeat) / 0.3;
  const evaluate = (q: number[], normals?: { h: number[][]; g: number[] }): number => {
    const [tip, butt, logBlur, height, level, slope] = q as [number, number, number, number, number, number];
    const lean = q[6] ?? 0;
    const blur = Math.exp(logBlur);
    let cost = 0;
    for (let i = 0; i < n; i++) {
      const zt = (x[i]! - tip) / blur;
      const zb = (x[i]! - butt) / blur;
      const box = normal(zt) - normal(zb);
      const d = x[i]! - centre;
      const top = height + lean * d;
      const r = y[i]! - (level + slope * d + (height + lean * d) * box);
      cost += r * r;
      if (normals === undefined) continue;
      const dt = density(zt);
      const db = density(zb);
      const j = [(-top * dt) / blur, (top * db) / blur, top * (db * zb - dt * zt), box, 1, d, d * box];
      for (let a = 0; a < count; a++) {
        normals.g[a]! += j[a]! * r;
        for (let b = 0; b <= a; b++) normals.h[a]![b]! += j[a]! * j[b]!;
      }
    }
    return cost;
  };
  const prior = (q: number[], noise: number): number => noise * ((q[2]! - Math.log(blurPrior)) * priorWeight) ** 2;
  let cost = evaluate(p);
  let noise = Math.max(cost / n, 1e-6);
  let damping = 1e-3;
  let inverse: number[][] | undefined;
  let settled = false;
  for (let iteration = 0; iteration < 40 && !settled; iteration++) {
    const normals = {
      h: Array.from({ length: count }, zeros),
      g: zeros(),
    };
    cost = evaluate(p, normals);
    noise = Math.max(cost / (n - count), 1e-6);
    const { h, g } = normals;
    h[2]![2]! += noise * priorWeight ** 2;
    g[2]! -= noise * priorWeight ** 2 * (p[2]! - Math.log(blurPrior));
    for (let a = 0; a < count; a++) for (let b = a + 1; b < count; b++) h[a]![b] = h[b]![a]!;
    const before = cost + prior(p, noise);
    for (let attempt = 0; ; attempt++) {
      if (attempt === 8) {
        settled = true;
        break;
      }
      const damped = h.map((row, i) => row.map((v, k) => (i === k ? v * (1 + damping) + 1e-9 : v)));
      const step = invert(damped)?.map((row) => row.reduce((sum, v, k) => sum + v * g[k]!, 0));
      if (step === undefined) return undefined;
      const next = p.map((v, i) => v + step[i]!);
      if (next[1]! > next[0]! && evaluate(next) + prior(next, noise) <= before) {
        p = next;
        damping = Math.max(damping / 5, 1e-9);
        settled = Math.abs(step[0]!) + Math.abs(step[1]!) < 1e-5;
        break;
      }
      damping *= 6;
    }
    inverse = invert(h);
  }
  if (inverse === undefined) return undefined;
  const [tip, butt, logBlur, height, level, slope] = p as [number, number, number, number, number, number];
  if (!(butt - tip > 0.05) || !p.every(Number.isFinite)) return undefined;
  cost = evaluate(p);
  const variance = (cost / (n - count)) * repeat;
  const u = (i: number): number => Math.sqrt(Math.max(inverse[i]![i]! * variance, 0));
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
    edgeCorrelation: u(0) * u(1) > 0 ? (inverse[0]![1]! * variance) / (u(0) * u(1)) : 0,
    residual: Math.sqrt(variance / repeat),
    misfit: variance / repeat / power,
  };
}
