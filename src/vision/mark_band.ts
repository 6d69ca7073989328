import { type BoxFit, fitBox } from './box_profile.ts';
import { median, quantile, robustSigma } from '../numerics/robust.ts';
import type { Stretch, Strip } from './strip.ts';
import { applySymmetric, type Colour, type StripRelief } from './strip_relief.ts';

/** A mark as one photo shows it: edges as arc lengths on the blank's surface, mm. */
export interface MarkSighting {
  /** index of the view */
  view: number;
  tipEdge: number;
  buttEdge: number;
  /** standard uncertainty of the edges' mean and of each edge from this photo's pixels */
  centreU: number;
  edgeU: number;
  /** the same from the band's own raggedness, which other photos of the same side share */
  raggedCentreU: number;
  raggedEdgeU: number;
  /** mm round the blank over which it shows */
  arc: number;
  /** how far the band stands out of the blank's texture, standard deviations */
  score: number;
  /** share of the visible width on which the band shows, 0..1 */
  coverage: number;
  /** roll angles (degrees, as in `rollDirection`) between which it shows in this photo */
  rolls: [number, number];
  /** the band's own luma, Cb, Cr; of the blank beside it; and of the blank at large here */
  colour: Colour;
  ground: Colour;
  typical: Colour;
  /** how much the ground next to the band differs from the blank at large, against the band's contrast: 0 = clean */
  clutter: number;
  /** photo pixels per mm along the blank here */
  pixelsPerMm: number;
  /** mm the place moves along for each mm the blank's axis is really nearer to the camera */
  parallax: number;
}

/** Widths of a china marker's band, with room for a thin or a pressed one: 1 to 3 mm is common practice, no source. */
const NARROWEST = 0.7;
export const WIDEST = 4.2;

/** Columns of a strip that may show a band, and the one where it stands out most. */
export interface BandCandidate {
  from: number;
  to: number;
  peak: number;
}

/** The median colour of a block of the strip: columns [from, to], the given rows. */
function blockColour(strip: Strip, rows: readonly number[], from: number, to: number): Colour {
  const pick = (channel: Float32Array): number => {
    const values: number[] = [];
    for (const k of rows) for (let c = from; c <= to; c++) values.push(channel[k * strip.columns + c]!);
    return median(values);
  };
  return [pick(strip.luma), pick(strip.blueDifference), pick(strip.redDifference)];
}

/** The blank's median colour over 60 mm to each side, every millimetre. */
function wideColour(strip: Strip, rows: readonly number[], relief: StripRelief, column: number): Colour {
  const reach = Math.round(60 / strip.step);
  const stride = Math.max(Math.round(1 / strip.step), 1);
  const from = Math.max(column - reach, relief.first);
  const to = Math.min(column + reach, relief.end - 1);
  const pick = (channel: Float32Array): number => {
    const values: number[] = [];
    for (const k of rows) for (let c = from; c <= to; c += stride) values.push(channel[k * strip.columns + c]!);
    return median(values);
  };
  return [pick(strip.luma), pick(strip.blueDifference), pick(strip.redDifference)];
}

function longestRun(flags: readonly boolean[]): [number, number] {
  let best: [number, number] = [0, 0];
  let start = 0;
  for (let k = 0; k <= flags.length; k++) {
    if (k < flags.length && flags[k]) continue;
    if (k - start > best[1] - best[0]) best = [start, k];
    start = k + 1;
  }
  return best;
}

/** Something behind the blank shines past both outlines: strong at both sides, weak in the middle. */
function isBleed(contrast: readonly number[], margin: number): boolean {
  const usable = contrast.slice(margin, contrast.length - margin);
  const third = Math.max(Math.floor(usable.length / 4), 1);
  const left = median(usable.slice(0, third));
  const right = median(usable.slice(-third));
  const middle = median(usable.slice(third, -third));
  return middle < 0.45 * Math.min(left, right);
}

/**
 * What uneven ground does to an edge: a step of g in the ground against an edge of height h and blur b moves its
 * half-height by g / h over the edge's slope, b sqrt(2 pi); half as much again, since the fit's window sees its slope
 * too.
 */
const TEXTURE_PULL = 1.5 * Math.sqrt(2 * Math.PI);

/** The blank's own unevenness in the colour that tells the band, as the profile along the whole strip shows it. */
function textureSigma(relief: StripRelief, direction: Colour): number {
  const [y, b, r] = relief.profile;
  const values: number[] = [];
  for (let c = relief.first; c < relief.end; c += 5) {
    values.push(direction[0] * y[c]! + direction[1] * b[c]! + direction[2] * r[c]!);
  }
  return robustSigma(values, 0);
}

/** sRGB to linear (IEC 61966-2-1). */
const linear = (level: number): number => {
  const v = Math.min(Math.max(level / 255, 0), 1);
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
};

/** The normal distribution's quantile, to 4.5e-4 (Abramowitz and Stegun 1964, 26.2.23). */
function normalQuantile(p: number): number {
  const q = Math.min(p, 1 - p);
  const t = Math.sqrt(-2 * Math.log(Math.max(q, 1e-6)));
  const z = t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
  return p < 0.5 ? -z : z;
}

/**
 * How far half-way between two encoded levels lies outside the brighter side's true edge: lenses blur light, cameras
 * then encode it. Positive for a band brighter than its ground (it looks too wide), negative for a darker one.
 */
function gammaShift(band: number, ground: number, blur: number): number {
  const low = linear(Math.min(band, ground));
  const high = linear(Math.max(band, ground));
  if (high - low < 0.005) return 0;
  const shift = -blur * normalQuantile((linear((band + ground) / 2) - low) / (high - low));
  return band > ground ? shift : -shift;
}

/** Narrower than this, a short band is a hair, a scratch or a letter's stroke. */
const THIN = 0.8;

/** mm of other prominent things close by that make a short band suspect: more than one neighbour's width. */
const COMPANY = 3;

/**
 * Fits one candidate; undefined when it is no band: too wide or thin, a speck, a letter, an oblique or broken
 * thing. `room` = the arc lengths its fit may use, `busy` = mm of blank within 14 mm that hold other prominent things.
 */
export function measureBand(
  strip: Strip,
  relief: StripRelief,
  inverse: number[],
  candidate: BandCandidate,
  room: Stretch,
  score: number,
  radius: number,
  busy: number,
): Omit<MarkSighting, 'view'> | undefined {
  const { columns, step, across } = strip;
  const { from, to } = candidate;
  const rough = (to - from + 1) * step;
  const ppm = strip.pixelsPerMm[candidate.peak]!;
  if (rough > WIDEST + 1.5 / ppm) return undefined;

  // One scalar picture: the channels' combination that best tells this band from this blank.
  const top = relief.profile.map((channel) => median(channel.subarray(from, to + 1))) as unknown as Colour;
  const direction = applySymmetric(inverse, top);
  const unitHeight = direction[0] * top[0] + direction[1] * top[1] + direction[2] * top[2];
  if (!(unitHeight > 0)) return undefined;
  // Lens and sensor blur luma by about 0.7 pixels; the half-size colour planes by twice that.
  const lumaShare = Math.min(Math.max((direction[0] * top[0]) / unitHeight, 0), 1);
  const blurPrior = (0.7 + 0.6 * (1 - lumaShare)) / ppm;
  const value = (k: number, c: number): number => {
    const i = k * columns + c;
    const [y, b, r] = relief.rows;
    return (direction[0] * y[i]! + direction[1] * b[i]! + direction[2] * r[i]!) / unitHeight;
  };

  // Which rows carry it.
  const inset = Math.min(Math.round(rough / (4 * step)), (to - from) >> 1);
  const contrast = across.map((_, k) => {
    let sum = 0;
    for (let c = from + inset; c <= to - inset; c++) sum += value(k, c);
    return sum / (to - from + 1 - 2 * inset);
  });
  const margin = relief.margin[candidate.peak]!;
  const usable = (k: number): boolean => k >= margin && k < across.length - margin;
  const strong = quantile(
    contrast.filter((_, k) => usable(k)),
    0.8,
  );
  if (isBleed(contrast, margin)) return undefined;
  const covered = contrast.map((v, k) => usable(k) && v > 0.4 * strong);
  const [runFrom, runTo] = longestRun(covered);
  const rowsOn = across.flatMap((_, k) => (covered[k] ? [k] : []));
  const coverage = rowsOn.length / (across.length - 2 * margin);
  const angle = (k: number): number => Math.asin(across[Math.min(Math.max(k, 0), across.length - 1)]!);
  const arc = Math.abs(angle(runTo - 1) - angle(runFrom)) * radius;
  // A speck is as round as it is long; a band goes some way round.
  const stretched = arc / rough;
  if (coverage < 0.3 || (coverage < 0.36 && stretched < 2.2)) return undefined;
  // Letters of a decal are short bands in company: both ends on the visible side, and more of the kind close by.
  const short = runFrom > margin + 1 && runTo < across.length - margin - 1 && angle(runTo - 1) - angle(runFrom) < 1.4;
  if (short && busy > COMPANY) return undefined;
  if (coverage < 0.7 && (stretched < (rough < 1.6 ? 1.5 : 1.1) || arc < 0.8)) return undefined;

  const lowest = Math.max(relief.first, Math.round((room.from - strip.from) / step));
  const highest = Math.min(relief.end - 1, Math.round((room.to - strip.from) / step));
  const x: number[] = [];
  const y: number[] = [];
  for (let c = lowest; c <= highest; c++) {
    let sum = 0;
    for (const k of rowsOn) sum += value(k, c);
    x.push(strip.from + c * step);
    y.push(sum / rowsOn.length);
  }
  const start = { tip: strip.from + (from - 0.5) * step, butt: strip.from + (to + 0.5) * step };
  const height = quantile(y.slice(from - lowest, to - lowest + 1), 0.7);
  // Samples closer than a pixel and its blur repeat each other's noise.
  const repeat = Math.max(1.5 / (ppm * step), 1);
  const found = fitBox(x, y, { ...start, blur: blurPrior, height, level: 0, slope: 0 }, blurPrior, { repeat });
  if (found === undefined || !(found.height > 0)) return undefined;
  const fit = ofMarkersWidth(found);
  const width = fit.butt - fit.tip;
  if (width < NARROWEST - 0.5 / ppm || width > WIDEST || fit.misfit > 0.25 || fit.blur > Math.max(0.7, 2.6 / ppm))
    return undefined;
  if (fit.tip < room.from || fit.butt > room.to || (short && width < THIN)) return undefined;

  const noise = {
    edge: Math.hypot(...fit.edgeU) / Math.SQRT2,
    centre: Math.sqrt(
      Math.max(fit.edgeU[0] ** 2 + fit.edgeU[1] ** 2 + 2 * fit.edgeCorrelation * fit.edgeU[0] * fit.edgeU[1], 0) / 4,
    ),
  };
  const ragged = raggedness(value, fit, rowsOn, strip, lowest, highest);
  if (ragged === undefined) return undefined;
  const texture = (fit.blur * TEXTURE_PULL * textureSigma(relief, direction)) / (unitHeight * fit.height);
  const floor = 0.06 / ppm;
  const beside = Math.round(1.2 / step);
  const tipColumn = Math.round((fit.tip - strip.from) / step);
  const buttColumn = Math.round((fit.butt - strip.from) / step);
  const mid = rowsOn.filter((k) => Math.abs(across[k]!) < 0.7);
  const rows = mid.length > 0 ? mid : rowsOn;
  const near = blockColour(
    strip,
    rows,
    Math.max(tipColumn - 2 * beside, relief.first),
    Math.max(tipColumn - beside, relief.first),
  );
  const far = blockColour(
    strip,
    rows,
    Math.min(buttColumn + beside, relief.end - 1),
    Math.min(buttColumn + 2 * beside, relief.end - 1),
  );
  const colour = blockColour(
    strip,
    rows,
    Math.max(tipColumn + inset, 0),
    Math.max(buttColumn - inset, tipColumn + inset),
  );
  const typical = wideColour(strip, rows, relief, candidate.peak);
  const contrastTo = (c: Colour): number => Math.hypot(c[0] - typical[0], c[1] - typical[1], c[2] - typical[2]);
  const clutter = Math.max(contrastTo(near), contrastTo(far)) / Math.max(contrastTo(colour), 1);
  // What stands beside it stands out as much: the end of a strip of tape, or a piece of something larger.
  if (clutter > 0.9) return undefined;
  const swell = lumaShare * gammaShift(colour[0], typical[0], Math.min(fit.blur, 0.5 / ppm));
  const facing = strip.facing[candidate.peak]!;
  const degrees = (k: number): number => facing + (angle(k) * 180) / Math.PI;
  return {
    tipEdge: fit.tip + swell,
    buttEdge: fit.butt - swell,
    centreU: Math.hypot(noise.centre, texture / Math.SQRT2, floor),
    edgeU: Math.hypot(noise.edge, texture, 0.1 / ppm, swell / 2),
    raggedCentreU: ragged.centre,
    raggedEdgeU: ragged.edge,
    arc: Math.max(arc, 0.2),
    score,
    coverage,
    rolls: [degrees(runFrom), degrees(runTo - 1)],
    colour,
    ground: [(near[0] + far[0]) / 2, (near[1] + far[1]) / 2, (near[2] + far[2]) / 2],
    typical,
    clutter,
    pixelsPerMm: ppm,
    parallax: strip.parallax[candidate.peak]!,
  };
}

/**
 * Where blur is as wide as the band, its profile tells the middle and not the width: a box ever narrower and higher
 * fits as well. Such a fit is given the narrowest stroke's width about its middle, and edges doubted by as much.
 */
function ofMarkersWidth(fit: BoxFit): BoxFit {
  const width = fit.butt - fit.tip;
  const told = Math.min(...fit.edgeU) < NARROWEST / 2;
  if (told || width >= NARROWEST) return fit;
  const middle = (fit.tip + fit.butt) / 2;
  // The middle's own doubt is kept: edges that doubt has made to run against each other.
  const [a, b] = fit.edgeU;
  const centre = Math.sqrt(Math.max(a ** 2 + b ** 2 + 2 * fit.edgeCorrelation * a * b, 0)) / 2;
  const edge = Math.hypot(centre, NARROWEST / 2);
  return {
    ...fit,
    tip: middle - NARROWEST / 2,
    butt: middle + NARROWEST / 2,
    height: (fit.height * width) / NARROWEST,
    edgeU: [edge, edge],
    edgeCorrelation: (2 * centre ** 2) / edge ** 2 - 1,
  };
}

/**
 * What the raggedness of the edges does to their mean, from five groups of rows: standard deviation of the groups'
 * centres and edges over the square root of their number. Undefined when the thing runs obliquely or its pieces do not
 * line up, as letters, scratches and a spiral's turns don't.
 */
function raggedness(
  value: (k: number, c: number) => number,
  fit: BoxFit,
  rowsOn: readonly number[],
  strip: Strip,
  lowest: number,
  highest: number,
): { centre: number; edge: number } | undefined {
  const groups = Math.min(5, rowsOn.length);
  const width = fit.butt - fit.tip;
  const a = Math.max(lowest, Math.round((fit.tip - 1.2 - strip.from) / strip.step));
  const b = Math.min(highest, Math.round((fit.butt + 1.2 - strip.from) / strip.step));
  const centres: number[] = [];
  const tips: number[] = [];
  const butts: number[] = [];
  for (let g = 0; g < groups; g++) {
    const rows = rowsOn.slice(Math.floor((g * rowsOn.length) / groups), Math.floor(((g + 1) * rowsOn.length) / groups));
    const y = (c: number): number => rows.reduce((sum, k) => sum + value(k, c), 0) / rows.length;
    const samples = Float64Array.from({ length: b - a + 1 }, (_, i) => y(a + i));
    const peak = quantile(samples, 0.85);
    const level = quantile(samples, 0.15);
    const half = (peak + level) / 2;
    const middle = Math.round(((fit.tip + fit.butt) / 2 - strip.from) / strip.step) - a;
    if (!(samples[middle]! > level + 0.3 * (peak - level))) continue;
    const walk = (direction: 1 | -1): number => {
      // Start where the group is surely inside the band.
      let i = middle;
      while (i + direction >= 0 && i + direction < samples.length && samples[i]! > half) i += direction;
      const inner = samples[i - direction] ?? samples[i]!;
      const t = inner === samples[i]! ? 0 : (inner - half) / (inner - samples[i]!);
      return strip.from + (a + i - direction + direction * Math.min(Math.max(t, 0), 1)) * strip.step;
    };
    const tip = walk(-1);
    const butt = walk(1);
    tips.push(tip);
    butts.push(butt);
    centres.push((tip + butt) / 2);
  }
  if (centres.length < Math.min(3, groups)) return undefined;
  const spread = (values: number[]): number => {
    const mean = values.reduce((p, q) => p + q, 0) / values.length;
    return Math.sqrt(values.reduce((p, q) => p + (q - mean) ** 2, 0) / Math.max(values.length - 1, 1));
  };
  if (robustSigma(centres) > Math.max(0.35 * width, 0.3)) return undefined;
  const n = Math.sqrt(centres.length);
  return { centre: spread(centres) / n, edge: (spread(tips) + spread(butts)) / 2 / n };
}
