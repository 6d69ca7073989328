import { type BlankAxis } from '../geometry/blank_axis.ts';
import type { Camera } from '../geometry/camera.ts';
import { basisAt, coefficientCount, type UniformSpline } from '../geometry/spline.ts';
import type { Photo } from '../photo/photo.ts';
import type { Blank } from '../plan/plan.ts';
import { InputError } from '../plan/input_error.ts';
import type { Rest } from '../plan/shoot.ts';
import { type BlankSighting, type Crossing, type Lane, lanePoint, searchBlank } from '../vision/blank_search.ts';
import { type AxisStation, findOutline, type OutlinePoint } from '../vision/outline.ts';
import { findTip, type TipPoint } from '../vision/tip.ts';
import {
  axisTable,
  bendPrior,
  type BlankModel,
  outlineBlock,
  splinePrior,
  stationAt,
  tipBlock,
} from './blank_model.ts';
import { parameterCovariance, type ResidualBlock, solveLeastSquares } from '../numerics/least_squares.ts';
import { type MatSolution, paperHeight } from './mat_summary.ts';
import { ParameterVector } from './parameters.ts';
import { prior } from './prior.ts';

export interface BlankSolution {
  model: BlankModel;
  /** all parameters: the mat's, then the blank's */
  parameters: ParameterVector;
  values: Float64Array;
  blocks: ResidualBlock[];
  axis: BlankAxis;
  /** standard uncertainty of the tip's place along the axis, cameras held, mm */
  tipSigma: number;
  /** standard uncertainty of the axis across and in height by arc length, cameras held: rows every `step` mm from the tip */
  axisSigma: { step: number; side: number[]; height: number[] };
  /** photos that show the tip end */
  tipPhotos: number[];
  /** arc lengths of blank seen with clear outlines, per photo */
  covers: ({ from: number; to: number } | undefined)[];
  /** per photo: median signed miss of its outline points from the common axis, mm across; large when the rod moved */
  misses: number[];
  outlines: { photo: number; points: OutlinePoint[] }[];
}

const stationSpacing = 4;
/**
 * The search for the outline draws in (mm). At first only places where both sides fit the blank's width count: a photo that
 * shows one side alone cannot tell it from a shadow before the axis stands.
 */
const rounds = [
  { reach: 2.5, pairsFirst: true },
  { reach: 1.5, pairsFirst: true },
  { reach: 1.2, pairsFirst: false },
  { reach: 0.6, pairsFirst: false },
  { reach: 0.6, pairsFirst: false },
];
/**
 * A light blank's shadow may be darker than the blank itself, and the first sighting then the shadow's. Near the paper the
 * two touch; on blocks the shadow lies apart, and a wide search would only meet it.
 */
const besideShadow = Array(3).fill({ reach: 5, pairsFirst: true }) as typeof rounds;
/** How far the first guess of the tip may be off, and how much paper beyond it is looked at, mm. */
const tipReach = 16;

/** Where the blank's outline is as wide as a blank may be, arc by the plan with a builder's and a maker's latitude. */
const widthLatitude = { least: 0.5, greatest: 1.7, extra: 1 };

/** The line through the tiles' centres, long enough for half a page beyond the outer ones. */
export function laneOf(mat: MatSolution): Lane {
  const tiles = mat.tiles;
  const mean = (pick: (tile: (typeof tiles)[0]) => number) => tiles.reduce((s, t) => s + pick(t), 0) / tiles.length;
  const [mx, my] = [mean((t) => t.x), mean((t) => t.y)];
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (const t of tiles) {
    xx += (t.x - mx) ** 2;
    xy += (t.x - mx) * (t.y - my);
    yy += (t.y - my) ** 2;
  }
  // A single tile has no line through its neighbours: its own u axis then.
  const angle = tiles.length > 1 ? 0.5 * Math.atan2(2 * xy, xx - yy) : tiles[0]!.yaw;
  const direction = [Math.cos(angle), Math.sin(angle)] as const;
  const along = tiles.map((t) => (t.x - mx) * direction[0] + (t.y - my) * direction[1]);
  return { origin: [mx, my], direction, from: Math.min(...along) - 170, to: Math.max(...along) + 170 };
}

const reverse = (lane: Lane): Lane => ({
  origin: lane.origin,
  direction: [-lane.direction[0], -lane.direction[1]],
  from: -lane.to,
  to: -lane.from,
});

/** The sightings with the lane turned round, so that t runs from tip to butt. */
const reverseSighting = (s: BlankSighting): BlankSighting => ({
  crossings: s.crossings.map((c) => ({ t: -c.t, low: -c.high, high: -c.low })),
  from: -s.to,
  to: -s.from,
});

/**
 * The blank's axis, radius and tip from both outlines in all photos, the cameras and the mat held. Throws InputError when
 * the blank or its tip end is in no photo. Under a tip-top (`tipHidden`) the end is only roughly where the blank begins to show,
 * and nothing is said of how well.
 */
export function adjustBlank(
  photos: readonly Photo[],
  mat: MatSolution,
  blank: Blank,
  rest: Rest,
  { tipHidden = false }: { tipHidden?: boolean } = {},
): BlankSolution {
  const guess = rest.kind === 'blocks' ? rest.axisHeight : Math.max(2, (rest.gripDiameter ?? blank.buttDiameter) / 4);
  const widths = {
    least: Math.max(0.4, widthLatitude.least * blank.tipDiameter),
    greatest: widthLatitude.greatest * blank.buttDiameter + widthLatitude.extra,
  };
  let lane = laneOf(mat);
  let sightings = photos.map((photo, i) => {
    const camera = mat.cameras[i];
    return camera && searchBlank(photo, camera, lane, guess, widths);
  });
  if (sightings.every((s) => s === undefined))
    throw new InputError(
      'The blank was not found in any photo: lay it along the white lane between the two rows of squares, clear of other things, and shoot again.',
    );
  if (thickensBackward(sightings, blank)) {
    lane = reverse(lane);
    sightings = sightings.map((s) => s && reverseSighting(s));
  }
  const ends = blankEnds(sightings, blank);
  if (ends.tip === undefined)
    throw new InputError(
      'The tip end of the blank is in no photo: take one more photo over the tip with a hand’s breadth of white paper beyond it.',
    );
  const tipStart = ends.tip;
  const parameters = new ParameterVector();
  parameters.add(mat.values);
  for (const fixed of mat.constant) parameters.constant.add(fixed);
  const matCount = parameters.count;
  const from = tipStart - 10;
  const to = ends.grip + 5;
  const spline: UniformSpline = { from, to, segments: Math.max(2, Math.round((to - from) / 200)) };
  const radiusSpline: UniformSpline = { from, to, segments: Math.max(1, Math.round((to - from) / 300)) };
  const line = commonSide(sightings);
  const knot = (s: UniformSpline, i: number) => s.from + ((i - 1) * (s.to - s.from)) / s.segments;
  const planRadius = (t: number) =>
    blank.tipDiameter / 2 + ((blank.buttDiameter - blank.tipDiameter) / 2) * ((t - tipStart) / blank.length);
  const paperAt = (t: number) => {
    const [x, y] = lanePoint(lane, t, line(t), 0);
    return paperHeight(mat, x, y);
  };
  const overPaper = (t: number) => {
    if (rest.kind === 'blocks') return rest.axisHeight;
    const low = blank.tipDiameter / 2;
    // Without a grip the butt lies on the paper too, or on something unsaid.
    const high = Math.max((rest.gripDiameter ?? blank.buttDiameter + 2) / 2, low);
    return low + ((high - low) * (t - tipStart)) / blank.length;
  };
  const heightAt = (t: number) => paperAt(t).value + overPaper(t);
  const model: BlankModel = {
    lane,
    spline,
    radiusSpline,
    side: parameters.add(Array.from({ length: coefficientCount(spline) }, (_, i) => line(knot(spline, i)))),
    height: parameters.add(Array.from({ length: coefficientCount(spline) }, (_, i) => heightAt(knot(spline, i)))),
    radius: parameters.add(
      Array.from({ length: coefficientCount(radiusSpline) }, (_, i) => planRadius(knot(radiusSpline, i))),
    ),
    tip: parameters.add([tipStart]),
  };
  const priors = [
    ...shapePriors(
      model,
      blank,
      rest,
      tipStart,
      { heightAt, tipHeightSigma: Math.hypot(0.15, paperAt(tipStart).u) },
      planRadius,
    ),
    ...(tipHidden ? [prior(model.tip, tipStart, stationSpacing)] : []),
  ];
  const frozen = new Set([...parameters.constant, ...Array.from({ length: matCount }, (_, i) => i)]);
  let values = parameters.values();
  let observed: ResidualBlock[] = [];
  let outlines: BlankSolution['outlines'] = [];
  let tips: { photo: number; point: TipPoint }[] = [];
  // One point is good to 0.3 px, but its error (a shadow, a glossy limb) is shared by a dozen neighbours.
  const edgeSigma = 1;
  const joined = blank.finish === 'light' && rest.kind === 'flat';
  for (const { reach, pairsFirst } of joined ? [...besideShadow, ...rounds] : rounds) {
    outlines = [];
    tips = [];
    observed = [];
    const stations: AxisStation[] = [];
    for (let t = values[model.tip]! + 3; t <= to; t += stationSpacing) stations.push(stationAt(model, values, t));
    for (let i = 0; i < photos.length; i++) {
      const camera = mat.cameras[i];
      if (camera) outlines.push({ photo: i, points: findOutline(photos[i]!, camera, stations, reach, blank.finish) });
    }
    const pairs = outlines.map(({ photo, points }) => ({ photo, points: points.filter((p) => p.paired) }));
    if (pairsFirst && pairs.reduce((sum, o) => sum + o.points.length, 0) > stations.length / 2) outlines = pairs;
    for (const { photo, points } of outlines)
      for (const point of points) observed.push(outlineBlock(model, mat.index.cameras[photo]!, point, edgeSigma));
    for (let i = 0; i < photos.length; i++) {
      const camera = mat.cameras[i];
      const index = mat.index.cameras[i];
      if (!camera || !index) continue;
      const end = stationAt(model, values, values[model.tip]!);
      const tip = findTip(photos[i]!, camera, end, tipReach);
      if (tip) {
        tips.push({ photo: i, point: tip });
        observed.push(tipBlock(model, index, tip, values[model.tip]!));
      }
    }
    values = solveLeastSquares([...priors, ...observed], values, { constant: frozen, maximumIterations: 30 }).values;
  }
  if (tips.length === 0 && !tipHidden)
    throw new InputError(
      'The tip end of the blank could not be made out against the paper: take one more photo straight over the tip, with white paper beyond it.',
    );
  const axis = axisTable(model, values, blank.length);
  const covariance = parameterCovariance([...priors, ...observed], values, frozen);
  const size = values.length;
  const tipVariance = covariance ? covariance[model.tip * size + model.tip]! : 1;
  // Looked for again from where it was found, the end must be there: a line or speck beside it can make two of it.
  const end = stationAt(model, values, values[model.tip]!);
  const astray = tips.map(({ photo }) => findTip(photos[photo]!, mat.cameras[photo]!, end, tipReach)?.offset ?? 1);
  const tipSigma = Math.hypot(Math.sqrt(tipVariance), Math.max(0, ...astray.map(Math.abs)));
  return {
    model,
    parameters,
    values,
    blocks: [...priors, ...observed],
    axis,
    tipSigma,
    axisSigma: axisSigma(model, values, covariance, blank.length),
    tipPhotos: tips.map((t) => t.photo),
    covers: photos.map((_, i) => coverage(outlines.find((o) => o.photo === i)?.points ?? [], values[model.tip]!)),
    misses: photos.map((_, i) => {
      const own = outlines.find((o) => o.photo === i);
      return own ? medianMiss(own.points, model, values, mat.cameras[i]!, mat, i) : 0;
    }),
    outlines,
  };
}

function axisSigma(
  model: BlankModel,
  values: Float64Array,
  covariance: Float64Array | undefined,
  length: number,
): BlankSolution['axisSigma'] {
  const step = 20;
  const size = values.length;
  const of = (first: number, s: number) => {
    const basis = basisAt(model.spline, values[model.tip]! + s);
    let sum = 0;
    for (let i = 0; i < 4; i++)
      for (let j = 0; j < 4; j++)
        sum +=
          basis.weights[i as 0]! *
          basis.weights[j as 0]! *
          (covariance?.[(first + basis.first + i) * size + first + basis.first + j] ?? 1);
    return Math.sqrt(Math.max(sum, 0));
  };
  const rows = Array.from({ length: Math.ceil(length / step) + 1 }, (_, i) => i * step);
  return { step, side: rows.map((s) => of(model.side, s)), height: rows.map((s) => of(model.height, s)) };
}

/** Standard uncertainty of the axis at arc length `s` (mm), across and in height. */
export function axisSigmaAt({ axisSigma: table }: BlankSolution, s: number): { side: number; height: number } {
  const i = Math.min(Math.max(Math.round(s / table.step), 0), table.side.length - 1);
  return { side: table.side[i]!, height: table.height[i]! };
}

function shapePriors(
  model: BlankModel,
  blank: Blank,
  rest: Rest,
  tip: number,
  { heightAt, tipHeightSigma }: { heightAt: (t: number) => number; tipHeightSigma: number },
  planRadius: (t: number) => number,
): ResidualBlock[] {
  const blocks: ResidualBlock[] = [];
  const h = (model.spline.to - model.spline.from) / model.spline.segments;
  // A blank bows by millimetres: a sag of 1 mm over 600 mm bends its coefficients this much from knot to knot.
  const bend = (8 * h * h) / 600 ** 2;
  for (let i = 0; i + 2 < coefficientCount(model.spline); i++) {
    blocks.push(bendPrior(model.side + i, 2 * bend), bendPrior(model.height + i, bend));
  }
  // How it rests: exact enough to help one photo, loose enough to give way to several.
  if (rest.kind === 'blocks') {
    for (const t of [tip, (model.spline.from + model.spline.to) / 2, model.spline.to])
      blocks.push(splinePrior(model.spline, model.height, t, heightAt(t), 1.5));
  } else {
    blocks.push(splinePrior(model.spline, model.height, tip, heightAt(tip), tipHeightSigma));
    const end = Math.min(model.spline.to, tip + blank.length);
    blocks.push(splinePrior(model.spline, model.height, end, heightAt(end), rest.gripDiameter === undefined ? 2 : 1.5));
    blocks.push(splinePrior(model.spline, model.height, (tip + end) / 2, heightAt((tip + end) / 2) - 0.8, 2));
  }
  for (let i = 0; i < coefficientCount(model.radiusSpline); i++) {
    const t =
      model.radiusSpline.from +
      ((i - 1) * (model.radiusSpline.to - model.radiusSpline.from)) / model.radiusSpline.segments;
    blocks.push(prior(model.radius + i, planRadius(t), Math.max(0.08 * Math.abs(planRadius(t)), 0.15)));
  }
  return blocks;
}

/**
 * True when the widths fit the plan's taper better with the tip at the far end. The narrow ones of each stretch are taken:
 * a shadow that joins the blank only widens it, and not in every photo.
 */
function thickensBackward(sightings: readonly (BlankSighting | undefined)[], blank: Blank): boolean {
  const sorted = sightings.flatMap((s) => s?.crossings ?? []).sort((a, b) => a.t - b.t);
  const at = (share: number) => sorted[Math.floor(share * (sorted.length - 1))]!.t;
  const [from, to] = [at(0.02), at(0.98)];
  const stretches = new Map<number, number[]>();
  for (const c of sorted) {
    const stretch = Math.floor(c.t / 24);
    stretches.set(stretch, [...(stretches.get(stretch) ?? []), c.high - c.low]);
  }
  let preference = 0;
  for (const [stretch, widths] of stretches) {
    const width = widths.sort((a, b) => a - b)[widths.length >> 2]!;
    const t = 24 * (stretch + 0.5);
    const miss = (s: number) => Math.min(Math.abs(width - plannedWidth(blank, s)), 4);
    preference += miss(t - from) - miss(to - t);
  }
  return preference > 0;
}

const plannedWidth = (blank: Blank, s: number) =>
  blank.tipDiameter + (blank.buttDiameter - blank.tipDiameter) * Math.min(Math.max(s / blank.length, 0), 1);

/** Where the chain of crossings begins (the tip, when some photo shows paper beyond it) and where the grip begins. */
function blankEnds(
  sightings: readonly (BlankSighting | undefined)[],
  blank: Blank,
): { tip: number | undefined; grip: number } {
  const window = 10;
  let first: { t: number; beyond: boolean } | undefined;
  let last = Number.NEGATIVE_INFINITY;
  for (const s of sightings) {
    if (!s) continue;
    const sorted = [...s.crossings].sort((a, b) => a.t - b.t);
    for (let i = 0; i + window < sorted.length; i++) {
      // Ten crossings with hardly a station left out among them: from here on it is the blank.
      if (sorted[i + window]!.t - sorted[i]!.t > window * stationSpacing * 1.35) continue;
      // A speck beyond the end stands alone.
      if (sorted[i + 1]!.t - sorted[i]!.t > 2 * stationSpacing) continue;
      const t = sorted[i]!.t;
      const beyond = s.from < t - 12;
      if (!first || t < first.t - 8 || (t < first.t + 8 && beyond && !first.beyond)) first = { t, beyond };
      break;
    }
    last = Math.max(last, sorted.at(-1)?.t ?? last);
  }
  if (!first?.beyond) return { tip: undefined, grip: last };
  const tip = first.t;
  return { tip, grip: gripFrom(sightings, blank, tip, last) };
}

/** Where the outline first stays much wider than the plan's taper: the grip or the reel seat; else the last crossing. */
function gripFrom(sightings: readonly (BlankSighting | undefined)[], blank: Blank, tip: number, last: number): number {
  const bins = new Map<number, number[]>();
  const width = 8;
  for (const s of sightings)
    for (const c of s?.crossings ?? []) {
      const bin = Math.floor((c.t - tip) / width);
      bins.set(bin, [...(bins.get(bin) ?? []), c.high - c.low]);
    }
  const end = Math.min(last, tip + blank.length);
  let wide = 0;
  for (let bin = Math.floor((0.3 * blank.length) / width); bin * width + tip < end; bin++) {
    const widths = bins.get(bin)?.sort((a, b) => a - b);
    const planned = blank.tipDiameter + ((blank.buttDiameter - blank.tipDiameter) * bin * width) / blank.length;
    // The narrow ones: shadows and tape only widen, and not in every photo.
    const here = widths?.[widths.length >> 2];
    // No crossing at all means that the outline is wider than any blank may be.
    if (here === undefined || here > 1.35 * planned + 2.5) wide++;
    else wide = 0;
    if (wide * width >= 40) return tip + (bin - wide + 1) * width - 4;
  }
  return end;
}

/** The blank's place across the lane from all photos, as a smooth curve through running medians. */
function commonSide(sightings: readonly (BlankSighting | undefined)[]): (t: number) => number {
  const all: Crossing[] = sightings.flatMap((s) => s?.crossings ?? []).sort((a, b) => a.t - b.t);
  const middles: [number, number][] = [];
  for (let i = 0; i < all.length; i += 30) {
    const part = all.slice(i, i + 30);
    const v = part.map((c) => (c.low + c.high) / 2).sort((a, b) => a - b);
    middles.push([part[part.length >> 1]!.t, v[v.length >> 1]!]);
  }
  return (t) => {
    const i = middles.findIndex(([x]) => x > t);
    if (i === 0) return middles[0]![1];
    if (i < 0) return middles[middles.length - 1]![1];
    const [a, b] = [middles[i - 1]!, middles[i]!];
    return a[1] + ((b[1] - a[1]) * (t - a[0])) / Math.max(b[0] - a[0], 1);
  };
}

function coverage(points: readonly OutlinePoint[], tip: number): { from: number; to: number } | undefined {
  if (points.length < 6) return undefined;
  const ts = points.map((p) => p.t);
  return { from: Math.min(...ts) - tip, to: Math.max(...ts) - tip };
}

function medianMiss(
  points: readonly OutlinePoint[],
  model: BlankModel,
  values: Float64Array,
  camera: Camera,
  mat: MatSolution,
  photo: number,
): number {
  const index = mat.index.cameras[photo]!;
  const misses: number[] = [];
  for (const point of points) {
    const r = new Float64Array(1);
    outlineBlock(model, index, point, 1).evaluate(values, r, undefined);
    const distance = Math.abs(camera.pose.translation[2]) / camera.intrinsics.focal;
    misses.push(r[0]! * point.side * distance);
  }
  misses.sort((a, b) => a - b);
  return misses[misses.length >> 1] ?? 0;
}
