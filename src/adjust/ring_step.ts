import { medianOfNormal, orderStatistic } from '../numerics/robust.ts';
import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { type Covariance, covarianceOf } from '../numerics/covariance.ts';
import { gaussNewtonStep } from '../numerics/least_squares.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import type { RimSample } from '../vision/rim_edges.ts';
import { priors } from './prior.ts';
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

/** Where a step leads, with the covariance it has by what was read there. */
export interface RingStep {
  state: RingState;
  /** worked out when asked for: of all steps of a fit only the last one's counts */
  covariance: () => Covariance<RingUnknown>;
  /** robust scale of the single edges' residuals, in `edgeDoubt.single` */
  scale: number;
}

const stateSize = ringUnknowns.length;

/**
 * One Gauss-Newton step over the ring's state, each photo's shift and each side's shift (the last two kept for the next
 * round, in `photos` and `sides`): no more than one, for the edges are found anew from where it leads. Undefined where
 * they do not tell. `stiffness` = how much more firmly than its doubt says the expected shape is held.
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
  const values = new Float64Array(firstSide + sides.size);
  values.set(ringUnknowns.map((name) => state[name]));
  values.set(
    photos.flatMap(({ shift }) => shift),
    stateSize,
  );
  values.set(
    Array.from(sides.values(), ({ shift }) => shift),
    firstSide,
  );
  const scale = edgeScale(round);
  const blocks = [
    ...edgeBlocks(round, columnOf, scale * edgeDoubt.single),
    ...shiftBlocks(round, columnOf),
    ...expectedBlocks(axis, prior, stiffness),
  ];
  // what shifts in one photo alone is eliminated with it
  const groups = photos.map((_, k) => photoColumns(k));
  for (const [key, { photo }] of sides) groups[photo]!.push(columnOf.get(key)!);
  const step = gaussNewtonStep(blocks, values, { groups });
  if (!step) return undefined;
  for (const [k, { shift }] of photos.entries())
    for (const c of [0, 1] as const) shift[c] = step.values[photoColumns(k)[c]!]!;
  for (const [key, side] of sides) side.shift = step.values[columnOf.get(key)!]!;
  return {
    state: withinReason(eachUnknown((_, i) => step.values[i]!)),
    covariance: () => {
      const shared = step.sharedCovariance();
      return covarianceOf(ringUnknowns, (a, b) => shared[ringColumn[a] * stateSize + ringColumn[b]]!);
    },
    scale,
  };
}

/** Where a photo's own shift stands among the unknowns: across, down. */
const photoColumns = (photo: number): number[] => [stateSize + 2 * photo, stateSize + 2 * photo + 1];

/** How much farther single edges scatter about where the ring has them than `edgeDoubt.single`; 1 at least. */
function edgeScale({ edges, sides, photos }: RingRound): number {
  const residuals = edges.map(({ photo, side, sample: { outward }, offset }) => {
    const { shift } = photos[photo]!;
    return Math.abs(offset - shift[0] * outward[0] - shift[1] * outward[1] - sides.get(side)!.shift);
  });
  return Math.max(1, (orderStatistic(residuals, 0.5) ?? 0) / medianOfNormal / edgeDoubt.single);
}

/** The edges, a block a side, those that lie far off weighed down (Cauchy). */
function edgeBlocks(
  { state, placed, edges, sides }: RingRound,
  columnOf: ReadonlyMap<number, number>,
  sigma: number,
): ResidualBlock[] {
  const own = ringUnknowns.map((_, i) => i);
  // shifts are counted from nothing, the state from where it stands
  const start = [...ringUnknowns.map((name) => state[name]), 0, 0, 0];
  const width = stateSize + 3;
  const ofSide = new Map(Array.from(sides.keys(), (key): [number, RimEdge[]] => [key, []]));
  for (const edge of edges) ofSide.get(edge.side)!.push(edge);
  return Array.from(ofSide, ([key, seen]): ResidualBlock => {
    const { photo } = sides.get(key)!;
    const parameters = [...own, ...photoColumns(photo), columnOf.get(key)!];
    const rows = new Float64Array(seen.length * width);
    for (const [k, { sample }] of seen.entries()) {
      const row = rows.subarray(k * width, (k + 1) * width);
      rimDerivative(placed, sample.rim, sample.gradient, row);
      row[stateSize] = sample.outward[0];
      row[stateSize + 1] = sample.outward[1];
      row[stateSize + 2] = 1;
    }
    return {
      parameters,
      size: seen.length,
      robust: edgeDoubt.robust,
      apart: true,
      evaluate(values, residuals, jacobian) {
        for (let k = 0; k < seen.length; k++) {
          let sum = -seen[k]!.offset;
          for (let a = 0; a < width; a++) sum += rows[k * width + a]! * (values[parameters[a]!]! - start[a]!);
          residuals[k] = sum / sigma;
        }
        if (jacobian) for (let i = 0; i < rows.length; i++) jacobian[i] = rows[i]! / sigma;
      },
    };
  });
}

/** How far photos and sides shift beforehand: by nothing, within their doubts. */
function shiftBlocks({ sides, photos }: RingRound, columnOf: ReadonlyMap<number, number>): ResidualBlock[] {
  return photos.flatMap((_, k) => {
    const own = [...sides].filter(([, { photo }]) => photo === k);
    const columns = own.map(([key]) => columnOf.get(key)!);
    const sigmas = own.map(([, { sigma }]) => sigma);
    const still = priors(photoColumns(k), [0, 0], [edgeDoubt.photo, edgeDoubt.photo]);
    const beside = priors(columns, new Float64Array(columns.length), sigmas);
    return [still, { ...beside, robust: edgeDoubt.robustSide, apart: true }];
  });
}

/** What is known of the ring before its rims are read. */
function expectedBlocks(axis: BlankAxis, { shape, height }: ExpectedRing, stiffness: number): ResidualBlock[] {
  const shaped = ringUnknowns.filter((name) => Number.isFinite(shape.sigma[name]));
  const { along, right, up } = ringColumn;
  const raised: ResidualBlock = {
    parameters: [right, up],
    size: 1,
    evaluate(values, residuals, jacobian) {
      const distance = Math.hypot(values[right]!, values[up]!);
      residuals[0] = (distance - height.mean - blankRadius(axis, values[along]!)) / height.sigma;
      if (!jacobian) return;
      jacobian[0] = values[right]! / distance / height.sigma;
      jacobian[1] = values[up]! / distance / height.sigma;
    },
  };
  const likely = priors(
    shaped.map((name) => ringColumn[name]),
    shaped.map((name) => shape.mean[name]),
    shaped.map((name) => shape.sigma[name] / stiffness),
  );
  return [likely, raised];
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
