import type { Stretch } from '../plan/stretch.ts';
import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { median } from '../numerics/robust.ts';
import { turnOf } from '../numerics/turn.ts';
import type { LineCandidate } from './spine_search.ts';
import { acrossPlaces, type Strip, straighten, type View, visibleStretch, type ViewIndex } from './strip.ts';
import type { Colour } from './strip_relief.ts';

/** How a lengthwise line ends in a photo: on bare blank, on something else, or unseen. */
export type LineEnd = 'bare' | 'covered' | 'unseen';

/** A lengthwise line as one photo shows it. Rolls in degrees, as in `rollDirection`. */
export interface LineSighting {
  view: ViewIndex;
  /** roll of the photo's line of sight */
  facing: number;
  /** the line's two edges in pieces of 6 mm or more: arc length of the piece's middle, lower and higher roll */
  pieces: LinePiece[];
  /** how soft the edges are: standard deviation of their blur, photo pixels */
  softness: number;
  ends: [LineEnd, LineEnd];
  colour: Colour;
  ground: Colour;
  pixelsPerMm: number;
}

/** One piece of a line: arc length of its middle (mm), lower and higher roll of its edges (degrees). */
export interface LinePiece {
  along: number;
  low: number;
  high: number;
}

/** How a lengthwise line is looked at; more rows, or more samples a mm, cost time in proportion. */
export const lengthwise = {
  /** rows across the width, and how far out they reach as a share of the radius: the outline's blur begins beyond */
  rows: 81,
  limit: 0.96,
  samplesPerMm: 4,
  /** mm of blank past the line's ends, and pixels of photo round it */
  around: 14,
  margin: 20,
  /** a line farther round than this from the line of sight (degrees) is seen too flat */
  flattest: 68,
  /** pieces of this length (mm) or more, so many at most; a line needs this share of them, and two */
  piece: 6,
  mostPieces: 24,
  leastShare: 0.6,
  /** the blank past an end is looked at from here to there, mm: nearer, a stroke's end is rounded */
  beyond: { from: 3, to: 10 },
  /** medians of rows are taken over about so many of their columns */
  medianOf: 60,
} as const;

/** Rows' distance as a share of the radius. */
export const rowSpacing = (2 * lengthwise.limit) / (lengthwise.rows - 1);

/** Roll away from the line of sight (degrees) at across-width place w. */
export const degrees = (w: number): number => (Math.asin(Math.min(Math.max(w, -1), 1)) * 180) / Math.PI;

/** The row where a roll (degrees away from the line of sight) shows; whole, but perhaps outside the strip. */
export const rowAt = (away: number): number =>
  Math.round((Math.sin((away * Math.PI) / 180) + lengthwise.limit) / rowSpacing);

/** One photo's blank straightened round a line that may run along it. */
export interface LengthwiseStrip {
  strip: Strip;
  /** what the strip shows, and the part of the line that is measured, mm */
  around: Stretch;
  from: number;
  to: number;
  /** of the blank at the line's middle, mm */
  radius: number;
  /** roll of the line of sight there (degrees), photo pixels per mm */
  facing: number;
  pixelsPerMm: number;
  /** row where the candidate's roll shows; perhaps outside the strip */
  seed: number;
}

/** The strip round a candidate, `inset` mm of its ends left out; undefined where the photo shows too little of it. */
export function lengthwiseStrip(
  view: View,
  axis: BlankAxis,
  line: LineCandidate,
  inset: number,
): LengthwiseStrip | undefined {
  const { rows, limit, samplesPerMm, around: reach, margin, piece, flattest } = lengthwise;
  const range = { from: Math.max(line.from - reach, axis.from), to: line.to + reach };
  const around = visibleStretch(view, axis, range, margin);
  if (around === undefined) return undefined;
  const strip = straighten(view, axis, around, acrossPlaces(rows, limit), samplesPerMm);
  const from = Math.max(line.from + inset, around.from);
  const to = Math.min(line.to - inset, around.to);
  if (to - from < 2 * piece) return undefined;
  const middle = Math.min(columnAt(strip, (from + to) / 2), strip.columns - 1);
  const facing = strip.facing[middle]!;
  const away = turnOf(line.roll - facing);
  if (Math.abs(away) > flattest) return undefined;
  const radius = blankRadius(axis, (from + to) / 2);
  return { strip, around, from, to, radius, facing, pixelsPerMm: strip.pixelsPerMm[middle]!, seed: rowAt(away) };
}

/** The column at an arc length, one past the last at most. */
export const columnAt = (strip: Strip, s: number): number =>
  Math.min(Math.max(Math.round((s - strip.from) * lengthwise.samplesPerMm), 0), strip.columns);

/** Median colour of each row between two arc lengths (mm), every few columns where they are many. */
export function rowMedians({ strip }: LengthwiseStrip, from: number, to: number): Colour[] {
  const [a, b] = [columnAt(strip, from), columnAt(strip, to)];
  const channels = [strip.luma, strip.blueDifference, strip.redDifference];
  const stride = Math.max(Math.floor((b - a) / lengthwise.medianOf), 1);
  const count = Math.max(Math.ceil((b - a) / stride), 0);
  const values = new Float64Array(count);
  return strip.across.map((_, k) => {
    const first = k * strip.columns + a;
    return channels.map((channel) => {
      for (let i = 0; i < count; i++) values[i] = channel[first + i * stride]!;
      return median(values);
    }) as unknown as Colour;
  });
}

/** Median colour of each row past the line's two ends; undefined where the photo does not show them. */
export function beyondEnds(seen: LengthwiseStrip, line: Stretch): [Colour[] | undefined, Colour[] | undefined] {
  const { from, to } = lengthwise.beyond;
  const length = to - from;
  const at = (a: number) =>
    a >= seen.around.from && a + length <= seen.around.to ? rowMedians(seen, a, a + length) : undefined;
  return [at(line.from - to), at(line.to + from)];
}

/** A colour along a direction of colours: the scalar product. */
export const mix = (direction: Colour, c: Colour): number =>
  direction[0] * c[0] + direction[1] * c[1] + direction[2] * c[2];

/**
 * The line's pieces as `measure` reads each between two arc lengths (mm), with the blur of its edges in photo pixels;
 * undefined where too few of them could be read.
 */
export function inPieces(
  { from, to }: LengthwiseStrip,
  measure: (from: number, to: number, along: number) => { low: number; high: number; softness: number } | undefined,
): Pick<LineSighting, 'pieces' | 'softness'> | undefined {
  const { piece, mostPieces, leastShare } = lengthwise;
  const count = Math.min(Math.max(Math.floor((to - from) / piece), 1), mostPieces);
  const pieces: LinePiece[] = [];
  const blurs: number[] = [];
  for (let p = 0; p < count; p++) {
    const a = from + (p * (to - from)) / count;
    const b = from + ((p + 1) * (to - from)) / count;
    const along = (a + b) / 2;
    const read = measure(a, b, along);
    if (read === undefined) continue;
    pieces.push({ along, low: read.low, high: read.high });
    blurs.push(read.softness);
  }
  return pieces.length < Math.max(leastShare * count, 2) ? undefined : { pieces, softness: median(blurs) };
}
