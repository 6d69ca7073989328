import type { BlankAxis } from '../geometry/blank_axis.ts';
import type { RimPart } from '../geometry/ring.ts';
import type { Covariance } from '../numerics/covariance.ts';
import { besideBlank, blankInView, ownEdges } from '../vision/blank_in_view.ts';
import { noiseNear } from '../vision/edge_profile.ts';
import { likeliestEdge, type PhotoAtRing } from '../vision/likeliest_edge.ts';
import { pixelScale, projectionRows, sampleRims, showsRing } from '../vision/rim_edges.ts';
import { ringEvidence } from '../vision/ring_evidence.ts';
import type { View, ViewIndex, PerView } from '../vision/strip.ts';
import { type ExpectedRing, placeRing, type RingState, type RingUnknown } from './ring_state.ts';
import { edgeDoubt, type RimEdge, type RimSide, type RingRound, type RingStep, stepRing } from './ring_step.ts';

export interface RingFit {
  state: RingState;
  covariance: Covariance<RingUnknown>;
  /** indices of the views that show the ring */
  views: ViewIndex[];
  edges: number;
  /** log likelihood ratio of this ring over chance edges, all photos */
  evidence: number;
  residual: number;
  /** pixels per mm at the ring, mean over the photos */
  pxPerMm: number;
}

/**
 * How hard to try: the search window of each round, as a multiple of the ring's own scale, how much more firmly than
 * its doubt says the expected shape is held, and the spacing of the places looked at (pixels, by the ring's radius in
 * pixels). More rounds and closer places cost time in proportion.
 */
export interface Effort {
  rounds: readonly { window: number; stiffness: number }[];
  spacing: (radius: number) => number;
}
const round = (window: number, stiffness: number) => ({ window, stiffness });
/** So many pixels apart, and no closer than the radius's part: large rings need no more places than small ones. */
const spacingOf =
  ({ least, radii }: { least: number; radii: number }) =>
  (radius: number): number =>
    Math.max(least, radius / radii);
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
  spacing: spacingOf({ least: 1.3, radii: 20 }),
};
export const quick: Effort = {
  rounds: [round(1.6, 4), round(1.3, 4), round(1, 2), round(0.8, 1)],
  spacing: spacingOf({ least: 2, radii: 6 }),
};

/** Where edges are looked for round a rim, pixels (measured on rendered rings, no source). */
const near = {
  /** the window's scale: this share of the ring's wall, within these bounds */
  ofWall: 0.4,
  least: 1,
  most: 4,
  /** edges are sampled over so many windows, but no farther than this */
  sampled: 3,
  farthest: 9,
  /** and fall off as a normal distribution of this share of the window */
  spread: 0.8,
  /** noise is read over so many radii round the ring; a ring nearer than this to the photo's border is not shown */
  noiseRadii: 2,
  margin: 12,
} as const;

/** One photo that shows the ring, and what it was shifted by. */
interface RingPhoto extends PhotoAtRing {
  view: View;
  shift: [number, number];
}

const parts: readonly RimPart[] = ['outline', 'bore', 'face-bore', 'face-outer'];

/**
 * Fits one ring to the edges near its projected rims in all photos that show it.
 * Gauss-Newton on the normal distances with edges found anew each round (iterated closest point, Besl and McKay 1992),
 * Cauchy weights on single edges and on whole sides.
 */
export function fitRing(
  views: PerView<View>,
  axis: BlankAxis,
  expected: ExpectedRing,
  start: RingState,
  effort: Effort = thorough,
): RingFit | undefined {
  const first = placeRing(axis, start).ring;
  const seen = views.map((_, i) => i).filter((i) => showsRing(views[i]!.photo, views[i]!.camera, first, near.margin));
  if (seen.length === 0) return undefined;
  const photos = seen.map((i): RingPhoto => {
    const view = views[i]!;
    const at = projectionRows(view.camera, first.centre)!;
    const pxPerMm = pixelScale(at.u, at.v);
    const noise = noiseNear(view.photo, at.pixel, near.noiseRadii * first.outer * pxPerMm);
    return { view, pxPerMm, noise, shift: [0, 0] };
  });
  let state = start;
  let sides = new Map<number, RimSide>();
  let edges: RimEdge[] = [];
  let step: RingStep | undefined;
  for (const { window, stiffness } of effort.rounds) {
    const placed = placeRing(axis, state);
    ({ edges, sides } = edgesAt(axis, { placed, state }, photos, sides, { window, spacing: effort.spacing }));
    step = stepRing(axis, { state, placed, edges, sides, photos }, expected, stiffness);
    if (!step) return undefined;
    state = step.state;
  }
  if (!step) return undefined;
  const { ring } = placeRing(axis, state);
  return {
    state,
    covariance: step.covariance(),
    views: seen,
    edges: edges.length,
    evidence: photos.reduce((sum, photo) => sum + ringEvidence(photo, axis, ring, state.along), 0),
    residual: step.scale * edgeDoubt.single,
    pxPerMm: photos.reduce((sum, p) => sum + p.pxPerMm, 0) / photos.length,
  };
}

/** The edges near a ring's rims as it stands, with their sides; a side's shift goes on from the round `before`. */
function edgesAt(
  axis: BlankAxis,
  { placed: { ring }, state: { along, rounding } }: Pick<RingRound, 'placed' | 'state'>,
  photos: readonly RingPhoto[],
  before: ReadonlyMap<number, RimSide>,
  look: { window: number; spacing: Effort['spacing'] },
): { edges: RimEdge[]; sides: Map<number, RimSide> } {
  const edges: RimEdge[] = [];
  const sides = new Map<number, RimSide>();
  for (const [k, photo] of photos.entries()) {
    const { view, pxPerMm, noise, shift } = photo;
    const wall = (ring.outer - ring.inner) * pxPerMm;
    const reach = look.window * Math.min(Math.max(near.least, near.ofWall * wall), near.most);
    const blank = blankInView(view, axis, along);
    if (!blank) continue;
    const sampled = Math.min(near.sampled * reach, near.farthest);
    for (const sample of sampleRims(view, ring, {
      reach: sampled,
      spacing: look.spacing(ring.outer * pxPerMm),
      noise,
    })) {
      const { side } = besideBlank(blank, sample.pixel, sample.outward);
      const expected = shift[0] * sample.outward[0] + shift[1] * sample.outward[1];
      const edge = likeliestEdge(sample, ownEdges(blank, sample), expected, near.spread * reach, photo);
      if (!edge) continue;
      const { part } = sample.rim;
      const key = (k * 4 + parts.indexOf(part)) * 4 + side;
      if (!sides.has(key))
        sides.set(key, { photo: k, sigma: sideSigma(part, rounding * pxPerMm), shift: before.get(key)?.shift ?? 0 });
      edges.push({ photo: k, side: key, sample, offset: edge.offset });
    }
  }
  return { edges, sides };
}

/** How far a whole side of a rim may lie off, pixels; `rounding` of the section's corners in pixels. */
function sideSigma(part: RimPart, rounding: number): number {
  const crease = part === 'face-bore' || part === 'face-outer';
  const shade = part === 'bore' || part === 'face-bore' ? edgeDoubt.bore : edgeDoubt.outer;
  return Math.hypot(shade, crease ? edgeDoubt.ofRounding * rounding : 0);
}
