import { coefficientCount, type UniformSpline } from '../geometry/spline.ts';
import type { Blank } from '../plan/plan.ts';
import type { Rest } from '../plan/shoot.ts';
import { type Lane, lanePoint } from '../vision/lane.ts';
import type { AxisStation } from '../vision/outline.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import { abovePaper, bendPrior, type BlankModel, splinePrior, stationAt } from './blank_model.ts';
import type { BlankStart } from './blank_start.ts';
import { ParameterVector } from './parameters.ts';
import { prior } from './prior.ts';

/** The blank's unknowns with their start values and what is known of them beforehand; the cameras are held. */
export interface BlankProblem {
  model: BlankModel;
  values: Float64Array;
  priors: ResidualBlock[];
  /** the lane's stretch in which outlines are looked for, mm */
  from: number;
  to: number;
  /** how well a point of an outline is believed, pixels (`outlineSigma`) */
  edgeSigma: number;
}

/**
 * One point of an outline is good to 0.3 px, but its error (a shadow, a glossy limb) is shared by dozens of neighbours,
 * so it counts for less: with 1 the axis of drawn walks in sun and lamp light was off in height by twice its doubt in
 * the median. One photo's outlines, and those of a blank that is itself to be measured, have nothing to give way to.
 */
export const outlineSigma = { together: 2, alone: 1 } as const;

/** Where the blank ends at its tip, as the problem's values have it. */
export const endOf = ({ model, values }: Pick<BlankProblem, 'model' | 'values'>): AxisStation =>
  stationAt(model, values, values[model.tip]!);

const known = {
  /** mm of lane between the axis's knots, and the radius's: a blank bows slowly and tapers slower */
  axisKnots: 200,
  radiusKnots: 300,
  /** the spline goes on beyond the tip's first sighting and the grip's, mm */
  beyondTip: 10,
  beyondGrip: 5,
  /** a blank bows by millimetres: this sag (mm) over this length (mm) is one standard deviation */
  sag: 1,
  sagLength: 600,
  /** sideways it bows by twice that: nothing holds it there */
  sideways: 2,
  /** how well a height is known beforehand, mm: exact enough to help one photo, loose enough to give way to several */
  onBlocks: 1.5,
  tipOnPaper: 0.15,
  gripOnPaper: 1.5,
  buttOnPaper: 2,
  /** on paper the middle sags under the straight line by so much, give or take, mm */
  middleSag: 0.8,
  middle: 2,
  /** a blank lies on the paper, not under it; waves and all by this much at most, mm, looked at every so many mm */
  underPaper: 0.3,
  paperEvery: 80,
  /** a blank's diameters by the plan: share, and mm, of the radius */
  radiusShare: 0.08,
  radiusLeast: 0.15,
} as const;

/** The paper's height over the bench's z = 0 at a bench place, with its standard uncertainty, mm. */
export type PaperHeight = (x: number, y: number) => { value: number; u: number };

/** The axis's height over the paper by the lane's coordinate, as the rod is said to rest. */
export function restingHeight(blank: Blank, rest: Rest, tip: number): (t: number) => number {
  if (rest.kind === 'blocks') return () => rest.axisHeight;
  const low = blank.tipDiameter / 2;
  // Without a grip the butt lies on the paper too, or on something unsaid.
  const high = Math.max((rest.gripDiameter ?? blank.buttDiameter + 2) / 2, low);
  return (t) => low + ((high - low) * (t - tip)) / blank.length;
}

/** The adjustment's problem for one place where the blank may lie. */
export function blankProblem(
  lane: Lane,
  { tip, grip, side }: BlankStart,
  blank: Blank,
  rest: Rest,
  paperHeight: PaperHeight,
): BlankProblem {
  const begin = tip;
  const from = begin - known.beyondTip;
  const to = grip + known.beyondGrip;
  const pieces = (length: number) => Math.round((to - from) / length);
  const spline: UniformSpline = { from, to, segments: Math.max(2, pieces(known.axisKnots)) };
  const radiusSpline: UniformSpline = { from, to, segments: Math.max(1, pieces(known.radiusKnots)) };
  const overPaper = restingHeight(blank, rest, begin);
  const paperAt = (t: number) => {
    const [x, y] = lanePoint(lane, t, side(t), 0);
    return paperHeight(x, y);
  };
  const heightAt = (t: number) => paperAt(t).value + overPaper(t);
  const radiusAt = (t: number) =>
    blank.tipDiameter / 2 + ((blank.buttDiameter - blank.tipDiameter) / 2) * ((t - begin) / blank.length);
  const parameters = new ParameterVector();
  const add = (s: UniformSpline, value: (t: number) => number) =>
    parameters.add(Array.from({ length: coefficientCount(s) }, (_, i) => value(knot(s, i))));
  const model: BlankModel = {
    lane,
    spline,
    radiusSpline,
    side: add(spline, side),
    height: add(spline, heightAt),
    radius: add(radiusSpline, radiusAt),
    tip: parameters.add([begin]),
  };
  const priors = [
    ...shapePriors(model, blank, rest, { tip: begin, heightAt, paperAt }),
    ...radiusPriors(model, radiusAt),
  ];
  return { model, values: parameters.values(), priors, from: begin, to, edgeSigma: outlineSigma.together };
}

const knot = (s: UniformSpline, i: number) => s.from + ((i - 1) * (s.to - s.from)) / s.segments;

function shapePriors(
  model: BlankModel,
  blank: Blank,
  rest: Rest,
  at: { tip: number; heightAt: (t: number) => number; paperAt: (t: number) => { value: number; u: number } },
): ResidualBlock[] {
  const { tip, heightAt, paperAt } = at;
  const blocks: ResidualBlock[] = [];
  const { spline, height } = model;
  const h = (spline.to - spline.from) / spline.segments;
  // A sag over a length bends the coefficients this much from knot to knot.
  const bend = (8 * known.sag * h * h) / known.sagLength ** 2;
  for (let i = 0; i + 2 < coefficientCount(spline); i++)
    blocks.push(bendPrior(model.side + i, known.sideways * bend), bendPrior(height + i, bend));
  const hold = (t: number, mean: number, sigma: number) => blocks.push(splinePrior(spline, height, t, mean, sigma));
  if (rest.kind === 'blocks') {
    for (const t of [tip, (spline.from + spline.to) / 2, spline.to]) hold(t, heightAt(t), known.onBlocks);
    return blocks;
  }
  const end = Math.min(spline.to, tip + blank.length);
  const middle = (tip + end) / 2;
  hold(tip, heightAt(tip), Math.hypot(known.tipOnPaper, paperAt(tip).u));
  hold(end, heightAt(end), rest.gripDiameter === undefined ? known.buttOnPaper : known.gripOnPaper);
  hold(middle, heightAt(middle) - known.middleSag, known.middle);
  for (let t = tip; t < spline.to; t += known.paperEvery) {
    const paper = paperAt(t);
    blocks.push(abovePaper(model, t, paper.value, Math.hypot(known.underPaper, paper.u)));
  }
  return blocks;
}

const radiusPriors = ({ radiusSpline, radius }: BlankModel, radiusAt: (t: number) => number): ResidualBlock[] =>
  Array.from({ length: coefficientCount(radiusSpline) }, (_, i) => {
    const planned = radiusAt(knot(radiusSpline, i));
    return prior(radius + i, planned, Math.max(known.radiusShare * Math.abs(planned), known.radiusLeast));
  });
