import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import type { RimPart } from '../geometry/ring.ts';
import { besideBlank, blankInView, ownEdges } from '../vision/blank_in_view.ts';
import { noiseNear, type ProfileEdge } from '../vision/edge_profile.ts';
import { pixelScale, projectionRows, type RimSample, sampleRims, showsRing } from '../vision/rim_edges.ts';
import type { View } from '../vision/strip.ts';
import { choleskyFactor, choleskySolve } from '../numerics/cholesky.ts';
import { ringEvidence } from '../vision/ring_evidence.ts';
import {
  type ExpectedRing,
  type PlacedRing,
  placeRing,
  rimDerivative,
  type RingState,
  STATE_SIZE,
} from './ring_state.ts';

export interface RingFit {
  state: RingState;
  /** of the state, row by row, STATE_SIZE square */
  covariance: Float64Array;
  /** indices of the views that show the ring */
  views: number[];
  edges: number;
  used: Used[];
  /** log likelihood ratio of this ring over chance edges, all photos */
  evidence: number;
  residual: number;
  /** pixels per mm at the ring, mean over the photos */
  pxPerMm: number;
}

export interface Used {
  /** index into the fit's photos, and the side it belongs to */
  view: number;
  group: number;
  sample: RimSample;
  offset: number;
}

/**
 * How hard to try: the search window of each round, as a multiple of the ring's own scale, and the spacing of the
 * places looked at (pixels, by the ring's radius in pixels).
 */
export interface Effort {
  rounds: readonly { window: number; stiffness: number }[];
  spacing: (radius: number) => number;
}
const round = (window: number, stiffness: number) => ({ window, stiffness });
export const thorough: Effort = {
  rounds: [
    round(1.6, 4),
    round(1.4, 4),
    round(1.2, 4),
    round(1, 3),
    round(0.9, 2),
    round(0.8, 1),
    round(0.7, 1),
    round(0.7, 1),
  ],
  spacing: (radius) => Math.max(1.3, radius / 20),
};
export const quick: Effort = {
  rounds: [round(1.6, 4), round(1.3, 4), round(1, 2), round(0.8, 1)],
  spacing: (radius) => Math.max(2, radius / 6),
};

/** The camera's own uncertainty at the ring, pixels. */
const PHOTO_SHIFT = 0.15;
/**
 * Shading, rounding and bleeding move a whole side of a rim together, however many edges are read along it: standard
 * deviation of that shift in pixels (more for the outer rims, which mirror the paper, than for the bore's, which lie in
 * shade), and for creases as a share of the section's rounding.
 */
const SIDE_SHIFT = { outer: 0.5, bore: 0.4 };
const CREASE_SHARE = 0.4;
/** Scatter of single edges along a side, pixels. */
const EDGE_SIGMA = 0.35;

interface Group {
  view: number;
  /** standard deviation expected, and the shift found so far; pixels along the outward direction */
  sigma: number;
  shift: number;
}

/**
 * Fits one ring to the edges near its projected rims in all photos that show it.
 * Gauss-Newton on the normal distances with edges found anew each round (iterated closest point, Besl and McKay 1992),
 * Cauchy weights on single edges and on whole sides.
 */
export function fitRing(
  views: readonly View[],
  axis: BlankAxis,
  expected: ExpectedRing,
  start: RingState,
  effort: Effort = thorough,
): RingFit | undefined {
  let state: RingState = start;
  const first = placeRing(axis, state).ring;
  const seen = views.map((_, i) => i).filter((i) => showsRing(views[i]!.photo, views[i]!.camera, first, 12));
  if (seen.length === 0) return undefined;
  const photos = seen.map((i) => {
    const at = projectionRows(views[i]!.camera, first.centre)!;
    const pxPerMm = pixelScale(at.u, at.v);
    return {
      view: views[i]!,
      pxPerMm,
      noise: noiseNear(views[i]!.photo, at.pixel, 2 * first.outer * pxPerMm),
      shift: [0, 0] as [number, number],
    };
  });
  let groups = new Map<number, Group>();
  let used: Used[] = [];
  let solved: Solved | undefined;
  for (const { window, stiffness } of effort.rounds) {
    const placed = placeRing(axis, state);
    used = [];
    const before = groups;
    groups = new Map();
    for (const [k, { view, pxPerMm, noise, shift }] of photos.entries()) {
      const wall = (placed.ring.outer - placed.ring.inner) * pxPerMm;
      const reach = window * Math.min(Math.max(1, 0.4 * wall), 4);
      const blank = blankInView(view, axis, state[0]!);
      if (!blank) continue;
      const spacing = effort.spacing(placed.ring.outer * pxPerMm);
      for (const sample of sampleRims(view, placed.ring, Math.min(3 * reach, 9), spacing, noise)) {
        const { side } = besideBlank(blank, sample.pixel, sample.outward);
        const expected = shift[0] * sample.outward[0] + shift[1] * sample.outward[1];
        const edge = likeliestEdge(sample, ownEdges(blank, sample), expected, 0.8 * reach, noise, pxPerMm);
        if (!edge) continue;
        const { part } = sample.rim;
        const crease = part === 'face-bore' || part === 'face-outer';
        const key = (k * 4 + PARTS.indexOf(part)) * 4 + side;
        if (!groups.has(key)) {
          const shade = part === 'bore' || part === 'face-bore' ? SIDE_SHIFT.bore : SIDE_SHIFT.outer;
          const sigma = Math.hypot(shade, crease ? CREASE_SHARE * state[8]! * pxPerMm : 0);
          groups.set(key, { view: k, sigma, shift: before.get(key)?.shift ?? 0 });
        }
        used.push({ view: k, group: key, sample, offset: edge.offset });
      }
    }
    solved = solveRound(axis, placed, state, used, groups, photos, expected, stiffness);
    if (!solved) return undefined;
    state = solved.state;
  }
  if (!solved) return undefined;
  const { ring } = placeRing(axis, state);
  const evidence = photos.reduce(
    (sum, { view, noise, shift }) => sum + ringEvidence(view, axis, ring, state[0]!, noise, shift),
    0,
  );
  return {
    state,
    covariance: covarianceOf(solved),
    views: seen,
    edges: used.length,
    used,
    evidence,
    residual: solved.scale * EDGE_SIGMA,
    pxPerMm: photos.reduce((sum, p) => sum + p.pxPerMm, 0) / photos.length,
  };
}

const PARTS: readonly RimPart[] = ['outline', 'bore', 'face-bore', 'face-outer'];

/** The edge most likely the rim's: strong and near where the rim is expected. */
function likeliestEdge(
  sample: RimSample,
  edges: readonly ProfileEdge[],
  expected: number,
  spread: number,
  noise: number,
  pxPerMm: number,
): ProfileEdge | undefined {
  const silhouette = sample.rim.part === 'outline';
  let best = 0.02;
  let likeliest: ProfileEdge | undefined;
  for (const edge of edges) {
    const d = (edge.offset - expected) / spread;
    const strength = Math.abs(edge.slope) / (Math.abs(edge.slope) + 6 * noise);
    const weight =
      strength *
      Math.exp(-0.5 * d * d) *
      (silhouette && hasEdgeBeyond(sample, edge, noise, 0.7 + BEYOND * pxPerMm) ? BEHIND : 1);
    if (weight > best) {
      best = weight;
      likeliest = edge;
    }
  }
  return likeliest;
}

/**
 * What is left of an edge's weight when another clear one lies outside it: reflections lie inside the silhouette, never
 * outside.
 */
const BEHIND = 0.4;
/** How far inside, mm: about the rounding of a ring's edge. */
const BEYOND = 0.35;

function hasEdgeBeyond(sample: RimSample, edge: ProfileEdge, noise: number, within: number): boolean {
  return sample.edges.some(
    (e) =>
      e.offset > edge.offset + 0.5 &&
      e.offset < edge.offset + within &&
      Math.abs(e.slope) > Math.min(4 * noise, 0.5 * Math.abs(edge.slope)),
  );
}

interface Solved {
  state: RingState;
  factor: Float64Array;
  size: number;
  /** robust scale of the single edges' residuals, in EDGE_SIGMA */
  scale: number;
}

/**
 * One Gauss-Newton step over the ring's state, each photo's shift and each side's shift (the last two kept for the next
 * round).
 */
function solveRound(
  axis: BlankAxis,
  placed: PlacedRing,
  state: RingState,
  used: readonly Used[],
  groups: Map<number, Group>,
  photos: readonly { shift: [number, number] }[],
  prior: ExpectedRing,
  stiffness: number,
): Solved | undefined {
  const firstGroup = STATE_SIZE + 2 * photos.length;
  const size = firstGroup + groups.size;
  const matrix = new Float64Array(size * size);
  const gradient = new Float64Array(size);
  const add = (columns: readonly number[], values: readonly number[], residual: number, weight: number) => {
    for (const [m, i] of columns.entries()) {
      const left = weight * values[m]!;
      if (left === 0) continue;
      gradient[i]! += left * residual;
      for (const [n, j] of columns.entries()) if (j <= i) matrix[i * size + j]! += left * values[n]!;
    }
  };
  const columnOf = new Map([...groups.keys()].map((key, i) => [key, firstGroup + i]));
  const residuals = used.map(({ view, group, sample, offset }) => {
    const { shift } = photos[view]!;
    return offset - shift[0] * sample.outward[0] - shift[1] * sample.outward[1] - groups.get(group)!.shift;
  });
  const sorted = residuals.map(Math.abs).sort((a, b) => a - b);
  const scale = Math.max(1, (sorted[sorted.length >> 1] ?? 0) / 0.6745 / EDGE_SIGMA);
  const sigma = scale * EDGE_SIGMA;
  const row = new Float64Array(STATE_SIZE);
  const own = Array.from({ length: STATE_SIZE }, (_, i) => i);
  for (const [n, { view, group, sample }] of used.entries()) {
    rimDerivative(placed, sample.rim, sample.gradient, row);
    const at = STATE_SIZE + 2 * view;
    const weight = 1 / (sigma * sigma) / (1 + (residuals[n]! / (2 * sigma)) ** 2);
    add([...own, at, at + 1, columnOf.get(group)!], [...row, ...sample.outward, 1], residuals[n]!, weight);
  }
  for (const [key, group] of groups) {
    const ratio = group.shift / group.sigma;
    add([columnOf.get(key)!], [1], -group.shift, 1 / group.sigma ** 2 / (1 + (ratio / 1.5) ** 2));
  }
  for (const [k, { shift }] of photos.entries()) {
    for (const c of [0, 1] as const) add([STATE_SIZE + 2 * k + c], [1], -shift[c], 1 / PHOTO_SHIFT ** 2);
  }
  for (const [a, s] of prior.shape.sigma.entries()) {
    if (Number.isFinite(s)) add([a], [1], prior.shape.mean[a]! - state[a]!, (stiffness / s) ** 2);
  }
  const distance = Math.hypot(state[1]!, state[2]!);
  const height = prior.height.mean + blankRadius(axis, state[0]!) - distance;
  add([1, 2], [state[1]! / distance, state[2]! / distance], height, 1 / prior.height.sigma ** 2);
  const factor = choleskyFactor(matrix, size);
  if (!factor) return undefined;
  const step = choleskySolve(factor, size, gradient);
  for (const [k, { shift }] of photos.entries()) {
    shift[0] += step[STATE_SIZE + 2 * k]!;
    shift[1] += step[STATE_SIZE + 2 * k + 1]!;
  }
  for (const [key, group] of groups) group.shift += step[columnOf.get(key)!]!;
  return { state: withinReason(state.map((v, a) => v + step[a]!)), factor, size, scale };
}

/** Keeps a step from turning the section inside out. */
function withinReason(state: number[]): RingState {
  state[6] = Math.max(0.3, state[6]!);
  state[5] = Math.max(state[6] + 0.2, state[5]!);
  state[7] = Math.max(0.3, state[7]!);
  state[9] = Math.max(0.3, state[9]!);
  state[8] = Math.min(Math.max(0.05, state[8]!), 0.49 * (state[5] - state[6]), state[7], state[9]!);
  return state;
}

/** The state's block of the normal matrix's inverse. */
function covarianceOf({ factor, size }: Solved): Float64Array {
  const covariance = new Float64Array(STATE_SIZE * STATE_SIZE);
  for (let a = 0; a < STATE_SIZE; a++) {
    const one = new Float64Array(size);
    one[a] = 1;
    const column = choleskySolve(factor, size, one);
    for (let b = 0; b < STATE_SIZE; b++) covariance[b * STATE_SIZE + a] = column[b]!;
  }
  return covariance;
}
