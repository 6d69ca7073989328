/** A uniform cubic B-spline over [from, to] in `segments` pieces: segments + 3 coefficients (de Boor 1978). */
export interface UniformSpline {
  from: number;
  to: number;
  segments: number;
}

export const coefficientCount = (spline: UniformSpline): number => spline.segments + 3;

export interface BasisAt {
  /** index of the first of four coefficients */
  first: number;
  weights: [number, number, number, number];
  /** derivatives by the coordinate */
  slopes: [number, number, number, number];
}

/** The weight of one of a cell's four coefficients at `u` in [0, 1] of it. */
export function cubicWeight(which: 0 | 1 | 2 | 3, u: number): number {
  const v = 1 - u;
  if (which === 0) return (v * v * v) / 6;
  if (which === 1) return (3 * u * u * u - 6 * u * u + 4) / 6;
  return which === 2 ? (-3 * u * u * u + 3 * u * u + 3 * u + 1) / 6 : (u * u * u) / 6;
}

/** All four. */
export const cubicWeights = (u: number): [number, number, number, number] => [
  cubicWeight(0, u),
  cubicWeight(1, u),
  cubicWeight(2, u),
  cubicWeight(3, u),
];

/** The four coefficients that matter at `t` with their weights; outside the range the end polynomial goes on. */
export function basisAt(spline: UniformSpline, t: number): BasisAt {
  const h = (spline.to - spline.from) / spline.segments;
  const place = (t - spline.from) / h;
  const first = Math.min(Math.max(Math.floor(place), 0), spline.segments - 1);
  const u = place - first;
  const v = 1 - u;
  return {
    first,
    weights: cubicWeights(u),
    slopes: [(-v * v) / 2 / h, (3 * u * u - 4 * u) / 2 / h, (-3 * u * u + 2 * u + 1) / 2 / h, (u * u) / 2 / h],
  };
}

/** The spline's value at `t`, its coefficients standing from `offset` in `coefficients`. */
export const splineValue = (
  spline: UniformSpline,
  coefficients: ArrayLike<number>,
  offset: number,
  t: number,
): number => valueBy(basisAt(spline, t), coefficients, offset);

/** A spline's value by the weights of a place. */
export function valueBy({ first, weights }: BasisAt, coefficients: ArrayLike<number>, offset: number): number {
  const at = offset + first;
  return (
    weights[0] * coefficients[at]! +
    weights[1] * coefficients[at + 1]! +
    weights[2] * coefficients[at + 2]! +
    weights[3] * coefficients[at + 3]!
  );
}
