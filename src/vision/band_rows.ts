import { median, quantile } from '../numerics/robust.ts';
import type { Strip } from './strip.ts';
import { applySymmetric, type Colour, type StripRelief } from './strip_relief.ts';

/** Columns of a strip that may show a band, and the one where it stands out most. */
export interface BandCandidate {
  from: number;
  to: number;
  peak: number;
}

/** One scalar picture: the channels' combination that best tells this band from this blank, 0 = blank, 1 = band. */
export interface BandPicture {
  strip: Strip;
  relief: StripRelief;
  /** of the colours, and how high the band stands along it */
  direction: Colour;
  unitHeight: number;
  /** how much of that height is luma, 0 to 1 */
  lumaShare: number;
}

/** The picture at row k, column c. */
export function bandValue({ strip, relief, direction, unitHeight }: BandPicture, k: number, c: number): number {
  const i = k * strip.columns + c;
  const [y, b, r] = relief.rows;
  return (direction[0] * y[i]! + direction[1] * b[i]! + direction[2] * r[i]!) / unitHeight;
}

/**
 * The linear discriminant (Fisher 1936) by the `inverse` covariance of the blank's colours; undefined where it tells
 * nothing.
 */
export function bandPicture(
  strip: Strip,
  relief: StripRelief,
  inverse: readonly number[],
  { from, to }: BandCandidate,
): BandPicture | undefined {
  const top = relief.profile.map((channel) => median(channel.subarray(from, to + 1))) as unknown as Colour;
  const direction = applySymmetric(inverse, top);
  const unitHeight = direction[0] * top[0] + direction[1] * top[1] + direction[2] * top[2];
  if (!(unitHeight > 0)) return undefined;
  const lumaShare = Math.min(Math.max((direction[0] * top[0]) / unitHeight, 0), 1);
  return { strip, relief, direction, unitHeight, lumaShare };
}

/**
 * What tells a band from a speck, a letter or a scratch by how far round it shows. Stricter, faint and partly rubbed
 * marks are lost; laxer, decals and dirt come up as marks (common practice, no source; held to the worlds of
 * tests/world).
 */
const round = {
  /** a row carries the band where it stands above this share of its strong rows, those of this quantile */
  carries: 0.4,
  strong: 0.8,
  /** something behind the blank shines past both outlines: its middle is weaker than this share of its sides */
  bleed: 0.45,
  /** share of the visible width on which it must show; up to `partly` it must go this many times its length round */
  least: 0.3,
  partly: 0.36,
  partlyRound: 2.2,
  /**
   * under this share it must go so many times its length round (the second for one of `thin` mm or less), and so far,
   * mm
   */
  most: 0.7,
  goesRound: 1.1,
  thin: 1.6,
  thinGoesRound: 1.5,
  leastArc: 0.8,
  /** a short band ends on the visible side at both ends and spans less than this angle, radians */
  shortAngle: 1.4,
  /** mm of other prominent things close by that make a short band suspect: more than one neighbour's width */
  company: 3,
} as const;

/** Rows of the strip that carry a band. */
export interface BandRows {
  rows: number[];
  /** the longest run of them, the last included: across-width angles (radians from facing the camera) */
  low: number;
  high: number;
  /** share of the visible width */
  coverage: number;
  /** mm round the blank over which it shows */
  arc: number;
  /** both its ends lie on the visible side */
  short: boolean;
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
  return middle < round.bleed * Math.min(left, right);
}

/** How far each row stands above the blank inside the candidate, `inset` columns off its ends. */
function rowContrast(picture: BandPicture, { from, to }: BandCandidate, inset: number): number[] {
  return picture.strip.across.map((_, k) => {
    let sum = 0;
    for (let c = from + inset; c <= to - inset; c++) sum += bandValue(picture, k, c);
    return sum / (to - from + 1 - 2 * inset);
  });
}

/**
 * Which rows carry a candidate; undefined where it does not go far enough round to be a band. `radius` of the blank
 * there, mm; `busy` = mm of blank close by that hold other prominent things.
 */
export function bandRows(
  picture: BandPicture,
  candidate: BandCandidate,
  inset: number,
  radius: number,
  busy: number,
): BandRows | undefined {
  const { across, step } = picture.strip;
  const rough = (candidate.to - candidate.from + 1) * step;
  const contrast = rowContrast(picture, candidate, inset);
  const margin = picture.relief.margin[candidate.peak]!;
  const usable = (k: number): boolean => k >= margin && k < across.length - margin;
  const strong = quantile(
    contrast.filter((_, k) => usable(k)),
    round.strong,
  );
  if (isBleed(contrast, margin)) return undefined;
  const covered = contrast.map((v, k) => usable(k) && v > round.carries * strong);
  const [from, to] = longestRun(covered);
  const rows = across.flatMap((_, k) => (covered[k] ? [k] : []));
  const coverage = rows.length / (across.length - 2 * margin);
  const angle = (k: number): number => Math.asin(across[Math.min(Math.max(k, 0), across.length - 1)]!);
  const [low, high] = [angle(from), angle(to - 1)];
  const arc = Math.abs(high - low) * radius;
  // A speck is as round as it is long; a band goes some way round.
  const stretched = arc / rough;
  if (coverage < round.least || (coverage < round.partly && stretched < round.partlyRound)) return undefined;
  // Letters of a decal are short bands in company: both ends on the visible side, and more of the kind close by.
  const short = from > margin + 1 && to < across.length - margin - 1 && high - low < round.shortAngle;
  if (short && busy > round.company) return undefined;
  const least = rough < round.thin ? round.thinGoesRound : round.goesRound;
  if (coverage < round.most && (stretched < least || arc < round.leastArc)) return undefined;
  return { rows, low, high, coverage, arc, short };
}
