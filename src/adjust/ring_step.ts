import { medianOfNormal, orderStatistic } from '../numerics/robust.ts';
import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { choleskyFactor, choleskySolve } from '../numerics/cholesky.ts';
import { type Covariance, covarianceOf } from '../numerics/covariance.ts';
import type { RimSample } from '../vision/rim_edges.ts';
import {
  eachUnknown,
  type ExpectedRing,
  type PlacedRing,
  ringColumn,
  rimDerivative,
  type RingState,
  type RingUnknown,
  ringUnknowns,
} from './ring_state.ts';

/** How far edges lie from a ring's rims, pixels (measured on rendered rings, no source). */
export const edgeDoubt = {
  /** scatter of single edges along a side */
  single: 0.35,
  /** the camera's own uncertainty at the ring */
  photo: 0.15,
  /**
   * Shading, rounding and bleeding move a whole side of a rim together, however many edges are read along it: more the
   * outer rims, which mirror the paper, than the bore's, which lie in shade; creases also by a share of the section's
   * rounding.
   */
  outer: 0.5,
  bore: 0.4,
  ofRounding: 0.4,
  /** Cauchy's loss bites from here, in standard deviations: on single edges and on whole sides */
  robust: 2,
  robustSide: 1.5,
} as const;

/** Edges of one side of one kind of rim in one photo, which lie off together. */
export interface RimSide {
  /** index into the fit's photos */
  photo: number;
  /** standard deviation expected, and the shift found so far; pixels along the outward direction */
  sigma: number;
  shift: number;
}

/** An edge that was taken for a rim's. */
export interface RimEdge {
  /** index into the fit's photos, and the side it belongs to */
  photo: number;
  side: number;
  sample: RimSample;
  /** pixels along the sample's outward direction */
  offset: number;
}

/** What one round has seen: the ring as it stood, the edges found there, and what sides and photos were shifted by. */
export interface RingRound {
  state: RingState;
  placed: PlacedRing;
  edges: readonly RimEdge[];
  sides: Map<number, RimSide>;
  photos: readonly { shift: [number, number] }[];
}

/** A state with the normal equations it came from. */
export interface RingStep {
  state: RingState;
  factor: Float64Array;
  size: number;
  /** robust scale of the single edges' residuals, in `edgeDoubt.single` */
  scale: number;
}

const stateSize = ringUnknowns.length;

/** Normal equations while observations are added: the matrix's lower half, row by row, and the right side. */
interface NormalEquations {
  size: number;
  matrix: Float64Array;
  gradient: Float64Array;
}

/** Adds one observation: its derivatives by these unknowns (ascending), its residual and its weight. */
function addRow(
  { size, matrix, gradient }: NormalEquations,
  columns: ArrayLike<number>,
  values: ArrayLike<number>,
  residual: number,
  weight: number,
): void {
  for (let m = 0; m < columns.length; m++) {
    const left = weight * values[m]!;
    if (left === 0) continue;
    const i = columns[m]!;
    gradient[i]! += left * residual;
    for (let n = 0; n <= m; n++) matrix[i * size + columns[n]!]! += left * values[n]!;
  }
}

/** Adds what is known of a single unknown. */
function addOne({ size, matrix, gradient }: NormalEquations, i: number, residual: number, weight: number): void {
  gradient[i]! += weight * residual;
  matrix[i * size + i]! += weight;
}

/**
 * One Gauss-Newton step over the ring's state, each photo's shift and each side's shift (the last two kept for the next
 * round, in `photos` and `sides`); undefined where the edges do not tell. `stiffness` = how much more firmly than its
 * doubt says the expected shape is held.
 */
export function stepRing(
  axis: BlankAxis,
  round: RingRound,
  prior: ExpectedRing,
  stiffness: number,
): RingStep | undefined {
  const { state, sides, photos } = round;
  const firstSide = stateSize + 2 * photos.length;
  const columnOf = new Map([...sides.keys()].map((key, i) => [key, firstSide + i]));
  const size = firstSide + sides.size;
  const normals = { size, matrix: new Float64Array(size * size), gradient: new Float64Array(size) };
  const scale = addEdges(normals, round, columnOf);
  for (const [key, side] of sides) {
    const ratio = side.shift / side.sigma;
    addOne(normals, columnOf.get(key)!, -side.shift, 1 / side.sigma ** 2 / (1 + (ratio / edgeDoubt.robustSide) ** 2));
  }
  for (const [k, { shift }] of photos.entries())
    for (const c of [0, 1] as const) addOne(normals, stateSize + 2 * k + c, -shift[c], 1 / edgeDoubt.photo ** 2);
  addExpected(normals, axis, state, prior, stiffness);
  const factor = choleskyFactor(normals.matrix, size);
  if (!factor) return undefined;
  const step = choleskySolve(factor, size, normals.gradient);
  for (const [k, { shift }] of photos.entries()) {
    shift[0] += step[stateSize + 2 * k]!;
    shift[1] += step[stateSize + 2 * k + 1]!;
  }
  for (const [key, side] of sides) side.shift += step[columnOf.get(key)!]!;
  return { state: withinReason(eachUnknown((name, i) => state[name] + step[i]!)), factor, size, scale };
}

/** Adds the edges, those that lie far off weighed down (Cauchy); returns their robust scale. */
function addEdges(
  normals: NormalEquations,
  { placed, edges, sides, photos }: RingRound,
  columnOf: ReadonlyMap<number, number>,
): number {
  const residuals = edges.map(({ photo, side, sample, offset }) => {
    const { shift } = photos[photo]!;
    return offset - shift[0] * sample.outward[0] - shift[1] * sample.outward[1] - sides.get(side)!.shift;
  });
  const scale = Math.max(1, (orderStatistic(residuals.map(Math.abs), 0.5) ?? 0) / medianOfNormal / edgeDoubt.single);
  const sigma = scale * edgeDoubt.single;
  const columns = Int32Array.from({ length: stateSize + 3 }, (_, i) => i);
  const row = new Float64Array(stateSize + 3);
  for (const [n, { photo, side, sample }] of edges.entries()) {
    rimDerivative(placed, sample.rim, sample.gradient, row);
    columns[stateSize] = stateSize + 2 * photo;
    columns[stateSize + 1] = stateSize + 2 * photo + 1;
    columns[stateSize + 2] = columnOf.get(side)!;
    row[stateSize] = sample.outward[0];
    row[stateSize + 1] = sample.outward[1];
    row[stateSize + 2] = 1;
    const weight = 1 / (sigma * sigma) / (1 + (residuals[n]! / (edgeDoubt.robust * sigma)) ** 2);
    addRow(normals, columns, row, residuals[n]!, weight);
  }
  return scale;
}

/** Adds what is known of the ring before its rims are read. */
function addExpected(
  normals: NormalEquations,
  axis: BlankAxis,
  state: RingState,
  { shape, height }: ExpectedRing,
  stiffness: number,
): void {
  for (const [i, name] of ringUnknowns.entries()) {
    const sigma = shape.sigma[name];
    if (Number.isFinite(sigma)) addOne(normals, i, shape.mean[name] - state[name], (stiffness / sigma) ** 2);
  }
  const { along, right, up } = state;
  const distance = Math.hypot(right, up);
  const miss = height.mean + blankRadius(axis, along) - distance;
  addRow(normals, [ringColumn.right, ringColumn.up], [right / distance, up / distance], miss, 1 / height.sigma ** 2);
}

/**
 * The least that a radius, a half thickness and a wall are taken for, mm; and how much of the wall rounding may take.
 */
const least = { size: 0.3, wall: 0.2, rounding: 0.05, mostOfWall: 0.49 } as const;

/** Keeps a step from turning the section inside out. */
function withinReason(state: RingState): RingState {
  const inner = Math.max(least.size, state.inner);
  const outer = Math.max(inner + least.wall, state.outer);
  const halfThickness = Math.max(least.size, state.halfThickness);
  const boreHalfThickness = Math.max(least.size, state.boreHalfThickness);
  const most = Math.min(least.mostOfWall * (outer - inner), halfThickness, boreHalfThickness);
  const rounding = Math.min(Math.max(least.rounding, state.rounding), most);
  return { ...state, outer, inner, halfThickness, rounding, boreHalfThickness };
}

/** The state's block of the normal matrix's inverse. */
export function stateCovariance({ factor, size }: RingStep): Covariance<RingUnknown> {
  const columns = ringUnknowns.map((_, i) => {
    const one = new Float64Array(size);
    one[i] = 1;
    return choleskySolve(factor, size, one);
  });
  return covarianceOf(ringUnknowns, (a, b) => columns[ringColumn[b]]![ringColumn[a]]!);
}
