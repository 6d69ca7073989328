import type { Stretch } from '../plan/stretch.ts';
import { quantile, robustSigma } from '../numerics/robust.ts';
import { type BandCandidate, type BandPicture, bandValue } from './band_rows.ts';
import { type BoxFit, fitBox } from './box_profile.ts';

/** What is known of a marker's band, and of how a photo blurs it. Lengths in mm. */
export const marker = {
  /**
   * widths of a china marker's band, with room for a thin or a pressed one: 1 to 3 mm is common practice, no source.
   * Wider room lets feet, tape and shadows in.
   */
  narrowest: 0.7,
  widest: 4.2,
  /** narrower than this, a short band is a hair, a scratch or a letter's stroke */
  thin: 0.8,
  /** lens and sensor blur luma by about so many pixels, and the half-size colour planes by so many more */
  blur: 0.7,
  colourBlur: 0.6,
  /**
   * a fit blurred more than this, and more than so many pixels, is no stroke; nor one that leaves so much of itself
   * unexplained
   */
  mostBlur: 0.7,
  mostBlurPixels: 2.6,
  mostMisfit: 0.25,
  /** samples closer than a pixel and its blur, in pixels, repeat each other's noise */
  repeat: 1.5,
  /** the box's height is looked for from this quantile of the band's samples: its blurred flanks lie below */
  startHeight: 0.7,
  /** pixels by which a band may come out narrower than the narrowest */
  narrower: 0.5,
} as const;

/** Whether the rows' pieces line up as one band. */
const pieces = {
  /** groups of rows that are looked at by themselves, and how many must show it */
  groups: 5,
  least: 3,
  /** mm beyond the band's edges that a group is looked at */
  beyond: 1.2,
  /** quantiles of a group's samples that stand for the band's top and the ground */
  top: 0.85,
  ground: 0.15,
  /** a group shows the band where its middle stands above this share of its top */
  shows: 0.3,
  /**
   * the groups' middles lie within this share of the width, and mm, of one another: letters, scratches and spirals
   * don't
   */
  inLine: 0.35,
  inLineMm: 0.3,
} as const;

/** A band's two edges as a blurred box fits them, and what their raggedness does to them. */
export interface BandEdges {
  fit: BoxFit;
  ragged: { centre: number; edge: number };
}

/**
 * Fits a candidate's two edges on the rows that carry it, within the arc lengths `room`; undefined where it is too
 * wide, too thin, too soft, oblique or in pieces. `short` = it ends on the visible side.
 */
export function bandEdges(
  picture: BandPicture,
  { from, to, peak }: BandCandidate,
  rows: readonly number[],
  room: Stretch,
  short: boolean,
): BandEdges | undefined {
  const { strip, relief, lumaShare } = picture;
  const { step } = strip;
  const ppm = strip.pixelsPerMm[peak]!;
  const blur = (marker.blur + marker.colourBlur * (1 - lumaShare)) / ppm;
  const lowest = Math.max(relief.first, Math.round((room.from - strip.from) / step));
  const highest = Math.min(relief.end - 1, Math.round((room.to - strip.from) / step));
  const x: number[] = [];
  const y: number[] = [];
  for (let c = lowest; c <= highest; c++) {
    let sum = 0;
    for (const k of rows) sum += bandValue(picture, k, c);
    x.push(strip.from + c * step);
    y.push(sum / rows.length);
  }
  const height = quantile(y.slice(from - lowest, to - lowest + 1), marker.startHeight);
  const start = { tip: strip.from + (from - 0.5) * step, butt: strip.from + (to + 0.5) * step };
  const repeat = Math.max(marker.repeat / (ppm * step), 1);
  const found = fitBox(x, y, { ...start, blur, height, level: 0, slope: 0 }, blur, { repeat });
  if (found === undefined || !(found.height > 0)) return undefined;
  const fit = ofMarkersWidth(found);
  const width = fit.butt - fit.tip;
  const { narrowest, narrower, widest, mostMisfit, mostBlur, mostBlurPixels } = marker;
  if (width < narrowest - narrower / ppm || width > widest || fit.misfit > mostMisfit) return undefined;
  if (fit.blur > Math.max(mostBlur, mostBlurPixels / ppm)) return undefined;
  if (fit.tip < room.from || fit.butt > room.to || (short && width < marker.thin)) return undefined;
  const ragged = raggedness(picture, fit, rows, lowest, highest);
  return ragged && { fit, ragged };
}

/**
 * Where blur is as wide as the band, its profile tells the middle and not the width: a box ever narrower and higher
 * fits as well. Such a fit is given the narrowest stroke's width about its middle, and edges doubted by as much.
 */
function ofMarkersWidth(fit: BoxFit): BoxFit {
  const width = fit.butt - fit.tip;
  const told = Math.min(...fit.edgeU) < marker.narrowest / 2;
  if (told || width >= marker.narrowest) return fit;
  const middle = (fit.tip + fit.butt) / 2;
  // The middle's own doubt is kept: edges that doubt has made to run against each other.
  const [a, b] = fit.edgeU;
  const centre = Math.sqrt(Math.max(a ** 2 + b ** 2 + 2 * fit.edgeCorrelation * a * b, 0)) / 2;
  const edge = Math.hypot(centre, marker.narrowest / 2);
  return {
    ...fit,
    tip: middle - marker.narrowest / 2,
    butt: middle + marker.narrowest / 2,
    height: (fit.height * width) / marker.narrowest,
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
  picture: BandPicture,
  fit: BoxFit,
  rowsOn: readonly number[],
  lowest: number,
  highest: number,
): { centre: number; edge: number } | undefined {
  const { strip } = picture;
  const groups = Math.min(pieces.groups, rowsOn.length);
  const width = fit.butt - fit.tip;
  const a = Math.max(lowest, Math.round((fit.tip - pieces.beyond - strip.from) / strip.step));
  const b = Math.min(highest, Math.round((fit.butt + pieces.beyond - strip.from) / strip.step));
  const centres: number[] = [];
  const tips: number[] = [];
  const butts: number[] = [];
  for (let g = 0; g < groups; g++) {
    const rows = rowsOn.slice(Math.floor((g * rowsOn.length) / groups), Math.floor(((g + 1) * rowsOn.length) / groups));
    const y = (c: number): number => rows.reduce((sum, k) => sum + bandValue(picture, k, c), 0) / rows.length;
    const samples = Float64Array.from({ length: b - a + 1 }, (_, i) => y(a + i));
    const peak = quantile(samples, pieces.top);
    const level = quantile(samples, pieces.ground);
    const half = (peak + level) / 2;
    const middle = Math.round(((fit.tip + fit.butt) / 2 - strip.from) / strip.step) - a;
    if (!(samples[middle]! > level + pieces.shows * (peak - level))) continue;
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
  if (centres.length < Math.min(pieces.least, groups)) return undefined;
  const spread = (values: number[]): number => {
    const mean = values.reduce((p, q) => p + q, 0) / values.length;
    return Math.sqrt(values.reduce((p, q) => p + (q - mean) ** 2, 0) / Math.max(values.length - 1, 1));
  };
  if (robustSigma(centres) > Math.max(pieces.inLine * width, pieces.inLineMm)) return undefined;
  const n = Math.sqrt(centres.length);
  return { centre: spread(centres) / n, edge: (spread(tips) + spread(butts)) / 2 / n };
}
