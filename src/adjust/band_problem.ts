import { basisAt, coefficientCount, splineValue, type UniformSpline } from '../geometry/spline.ts';
import { parameterCovariance, solveLeastSquares } from '../numerics/least_squares.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import { bendPrior } from './blank_model.ts';
import { indices, ParameterVector } from './parameters.ts';
import { prior } from './prior.ts';
import type { Slide } from './slide.ts';
import type { ViewIndex, PerView } from '../vision/strip.ts';

/** Something on the blank's surface that shows where it is along it: a mark, a tape's edge, as one photo shows it. */
export interface BandSeen {
  view: ViewIndex;
  /** arc length by the axis as it stands, mm, and how well it is read */
  along: number;
  u: number;
  width: number;
  /** mm it moves along when the blank is really 1 mm higher than the axis says */
  perHeight: number;
  /** so clear that another photo of the place would show it too */
  clear: boolean;
}

/** A slide that bands tell. */
export interface BandSlide extends Slide {
  /** bands that both sides show and that bear it out; clear ones that only one side shows where the other ought to */
  bands: number;
  alone: number;
}

/** A slide that bands speak for but too few to say it by themselves: how likely they agree so by mere chance. */
export interface HintedSlide extends BandSlide {
  chance: number;
}

/** How all photos' bands agree on one blank: its height by them, and where the rod slid. */
export interface BandTies {
  slides: BandSlide[];
  /** the likeliest of those that something else must bear out, where no slide is told; the first explains most */
  hinted: HintedSlide[];
  /** what the bands add to the axis's height, mm, at arc lengths where they tell */
  heights: { along: number; value: number; u: number }[];
}

/**
 * What the views are known to do: how far each may be off along as a whole (standard deviation, mm), and what it shows.
 */
export interface ViewsKnown {
  /** how well a band's place repeats from photo to photo, mm: light and blur differ, and tape stands off the blank */
  reading: number;
  drift: PerView<number>;
  /** how far the axis's height may be off at an arc length, mm */
  heightSigma: (along: number) => number;
  covers: PerView<{ from: number; to: number } | undefined>;
  length: number;
}

export const ties = {
  /**
   * sightings of one band lie this near each other's mean, mm; the axis's height may be off by a millimetre and more
   */
  sameBand: 0.9,
  /** and are about as wide, mm and ratio */
  sameWidth: 0.6,
  widthRatio: 1.5,
  /** places behind it that a sighting is held against: those before them lie too far off */
  lookedBack: 6,
  /**
   * the error of the axis's height bends slowly: from knot to knot, so many mm apart, by this much (standard deviation,
   * mm)
   */
  heightKnots: 250,
  heightBend: 0.4,
  /** beyond this many deviations a sighting is of something else */
  outlier: 2.5,
  /** a clear band that the other side's photos ought to show and don't counts as so many squared deviations */
  unmatched: 8,
  /** a photo ought to show what lies this far inside of what it shows of the blank, mm */
  inside: 8,
  /** slides looked for, mm */
  greatest: 25,
  /** differences this alike vote for one slide, mm */
  alike: 0.35,
  /**
   * a slide must explain this much more (squared deviations), beat its own doubt this many times, and be no less than
   * this, mm
   */
  gain: 16,
  sure: 4,
  least: 0.35,
  /** bands on both sides that must bear it out, and how likely as many may agree by mere chance */
  bands: 2,
  chance: 0.02,
  /** likelier by chance than that they need another witness, and from here on they say nothing */
  hint: 0.3,
  most: 3,
  /** steps of the adjustment: nearly linear, it settles in a few */
  mostSteps: 30,
  /** views must differ by this in how a band moves with the axis's height, mm a mm, for it to tell of the height */
  leastParallax: 0.1,
} as const;

/** A slide supposed: views from `from` on lie about this much toward the butt. */
export interface Supposed {
  from: ViewIndex;
  about: number;
}

export interface SolvedBands {
  supposed: readonly Supposed[];
  slides: BandSlide[];
  heights: BandTies['heights'];
  /** squared deviations, those of bands that ought to match among them */
  cost: number;
}

const shiftOf = (supposed: readonly Supposed[], view: ViewIndex): number =>
  supposed.reduce((sum, { from, about }) => sum + (view >= from ? about : 0), 0);

/** Bands joined over the views as if the rod had slid as supposed: at most one sighting a view each. */
export function groupBands(bands: readonly BandSeen[], supposed: readonly Supposed[]): BandSeen[][] {
  const place = (band: BandSeen) => band.along - shiftOf(supposed, band.view);
  const groups: BandSeen[][] = [];
  for (const band of [...bands].sort((a, b) => place(a) - place(b))) {
    let home: BandSeen[] | undefined;
    let nearest: number = ties.sameBand;
    for (const group of groups.slice(-ties.lookedBack)) {
      if (group.some((other) => other.view === band.view)) continue;
      const middle = group.reduce((sum, other) => sum + place(other), 0) / group.length;
      const width = group.reduce((sum, other) => sum + other.width, 0) / group.length;
      const ratio = Math.max(width, band.width) / Math.min(width, band.width);
      if (ratio > ties.widthRatio && Math.abs(width - band.width) > ties.sameWidth) continue;
      const gap = Math.abs(place(band) - middle);
      if (gap < nearest) {
        nearest = gap;
        home = group;
      }
    }
    if (home) home.push(band);
    else groups.push([band]);
  }
  return groups;
}

/** How many clear bands one side of a slide shows that a photo of the other side ought to and does not. */
export function bandsAlone(
  groups: readonly (readonly BandSeen[])[],
  supposed: readonly Supposed[],
  from: ViewIndex,
  { covers }: ViewsKnown,
): number {
  let count = 0;
  for (const group of groups) {
    const clear = group.find((band) => band.clear);
    const sides = new Set(group.map((band) => band.view >= from));
    if (!clear || sides.size > 1) continue;
    const place = clear.along - shiftOf(supposed, clear.view);
    const shown = covers.some((cover, view) => {
      if (!cover || sides.has(view >= from)) return false;
      const there = place + shiftOf(supposed, view);
      return there > cover.from + ties.inside && there < cover.to - ties.inside;
    });
    if (shown) count++;
  }
  return count;
}

/** One sighting against its band's place, the axis's height, its view's own drift and the slides supposed. */
function bandBlock(
  band: BandSeen,
  at: {
    reading: number;
    place: number;
    drift: number;
    slides: readonly number[];
    spline: UniformSpline;
    height: number;
  },
): ResidualBlock {
  const sigma = Math.hypot(band.u, at.reading);
  const { first, weights } = basisAt(at.spline, band.along);
  return {
    parameters: [at.place, at.drift, ...indices(at.height + first, 4), ...at.slides],
    size: 1,
    robust: ties.outlier,
    evaluate(values, residuals, jacobian) {
      const lift = splineValue(at.spline, values, at.height, band.along);
      const slid = at.slides.reduce((sum, i) => sum + values[i]!, 0);
      residuals[0] = (band.along + band.perHeight * lift - values[at.place]! - values[at.drift]! - slid) / sigma;
      if (!jacobian) return;
      jacobian.fill(-1 / sigma);
      for (let i = 0; i < 4; i++) jacobian[2 + i] = (band.perHeight * weights[i as 0]!) / sigma;
    },
  };
}

/** The spline of what is to be added to the axis's height, and where its coefficients, drifts and slides stand. */
interface BandUnknowns {
  spline: UniformSpline;
  height: number;
  drift: number;
  slide: number;
}

/** Unknowns and observations for bands that several views show: the blocks end with one a band, group by group. */
function bandProblem(
  tied: readonly (readonly BandSeen[])[],
  known: ViewsKnown,
  supposed: readonly Supposed[],
): { unknowns: BandUnknowns; blocks: ResidualBlock[]; start: Float64Array } {
  const segments = Math.max(2, Math.round(known.length / ties.heightKnots));
  const spline: UniformSpline = { from: 0, to: known.length, segments };
  const knots = known.length / segments;
  const parameters = new ParameterVector();
  // Places first: each hangs on its own sightings alone, so that the normal equations stay nearly empty.
  const placesOf = tied.map((group) => {
    const places = group.map((band) => band.along - shiftOf(supposed, band.view));
    return parameters.add([places.reduce((a, b) => a + b, 0) / places.length]);
  });
  const count = coefficientCount(spline);
  const height = parameters.add(new Float64Array(count));
  const drift = parameters.add(new Float64Array(known.drift.length));
  const slide = parameters.add(supposed.map(({ about }) => about));
  const blocks: ResidualBlock[] = [
    ...indices(height, count).map((i, k) => prior(i, 0, known.heightSigma((k - 1) * knots))),
    ...indices(height, count - 2).map((i) => bendPrior(i, ties.heightBend)),
    ...known.drift.map((sigma, view) => prior(drift + view, 0, sigma)),
    ...supposed.map(({ about }, i) => prior(slide + i, about, ties.greatest)),
  ];
  for (const [i, group] of tied.entries()) {
    const place = placesOf[i]!;
    for (const band of group) {
      const slides = supposed.flatMap(({ from }, i) => (band.view >= from ? [slide + i] : []));
      blocks.push(bandBlock(band, { reading: known.reading, place, drift: drift + band.view, slides, spline, height }));
    }
  }
  return { unknowns: { spline, height, drift, slide }, blocks, start: parameters.values() };
}

/** What the bands say if the rod had slid as supposed. */
export function solveBands(bands: readonly BandSeen[], known: ViewsKnown, supposed: readonly Supposed[]): SolvedBands {
  const groups = groupBands(bands, supposed);
  const tied = groups.filter((group) => group.length > 1);
  const { unknowns, blocks, start } = bandProblem(tied, known, supposed);
  const solution = solveLeastSquares(blocks, start, { maximumIterations: ties.mostSteps });
  const { values } = solution;
  const covariance = parameterCovariance(blocks, values, new Set());
  const residual = new Float64Array(1);
  const agrees = (block: ResidualBlock) => {
    block.evaluate(values, residual, undefined);
    return Math.abs(residual[0]!) < ties.outlier;
  };
  const own = blocks.slice(blocks.length - tied.reduce((sum, group) => sum + group.length, 0));
  let next = 0;
  const good = tied.map((group) => group.filter(() => agrees(own[next++]!)));
  const alone = supposed.map(({ from }) => bandsAlone(groups, supposed, from, known));
  const { slide } = unknowns;
  return {
    supposed,
    slides: supposed.map(({ from }, i) => ({
      from,
      along: { value: values[slide + i]!, u: Math.sqrt(varianceOf([[slide + i, 1]], covariance, values.length)) },
      bands: good.filter((group) => new Set(group.map((band) => band.view >= from)).size > 1).length,
      alone: alone[i]!,
    })),
    heights: good.flatMap((group) => heightBy(group, unknowns, values, covariance)),
    cost: 2 * solution.cost + ties.unmatched * alone.reduce((a, b) => a + b, 0),
  };
}

/** Variance of a sum of unknowns by their weights; 1 each where they are not determined. */
function varianceOf(
  weights: readonly (readonly [unknown: number, weight: number])[],
  covariance: Float64Array | undefined,
  size: number,
): number {
  return weights.reduce(
    (sum, [i, a]) => sum + weights.reduce((inner, [j, b]) => inner + a * b * (covariance?.[i * size + j] ?? 1), 0),
    0,
  );
}

/** What one band says of the axis's height: nothing where its views look at it alike. */
function heightBy(
  group: readonly BandSeen[],
  { spline, height }: BandUnknowns,
  values: Float64Array,
  covariance: Float64Array | undefined,
): BandTies['heights'] {
  const spread = group.map((band) => band.perHeight);
  if (group.length < 2 || Math.max(...spread) - Math.min(...spread) < ties.leastParallax) return [];
  const along = group[0]!.along;
  const basis = basisAt(spline, along);
  const weights = basis.weights.map((w, i) => [height + basis.first + i, w] as const);
  const u = Math.sqrt(varianceOf(weights, covariance, values.length));
  return [{ along, value: splineValue(spline, values, height, along), u }];
}
