import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { fitBox } from './box_profile.ts';
import { median, robustSigma } from '../numerics/robust.ts';
import type { LineCandidate } from './spine_search.ts';
import { acrossPlaces, type Strip, straighten, type View, visibleStretch } from './strip.ts';
import type { Colour } from './strip_relief.ts';

/** How a lengthwise line ends in a photo: on bare blank, on something else, or unseen. */
export type LineEnd = 'bare' | 'covered' | 'unseen';

/** A lengthwise line as one photo shows it. Rolls in degrees, as in `rollDirection`. */
export interface LineSighting {
  view: number;
  /** roll of the photo's line of sight */
  facing: number;
  /** the line's two edges in pieces of 6 mm or more: arc length of the piece's middle, lower and higher roll */
  pieces: { along: number; low: number; high: number }[];
  /** how soft the edges are: standard deviation of their blur, photo pixels */
  softness: number;
  ends: [LineEnd, LineEnd];
  colour: Colour;
  ground: Colour;
  pixelsPerMm: number;
}

export const PIECE = 6; // mm
export const MOST_PIECES = 24;
const WIDEST = 3.6; // mm of a marker's stroke, with room for blur
export const ROWS = 81;
export const LIMIT = 0.96;
export const PER_MM = 4;

/** Roll away from the line of sight (degrees) at across-width place w. */
export const degrees = (w: number): number => (Math.asin(Math.min(Math.max(w, -1), 1)) * 180) / Math.PI;

/** Median of each row over columns [a, b), every few of them where they are many: rows x 3. */
export function rowMedians(strip: Strip, a: number, b: number): Colour[] {
  const channels = [strip.luma, strip.blueDifference, strip.redDifference];
  const stride = Math.max(Math.floor((b - a) / 60), 1);
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

/** A colour along a direction of colours: the scalar product. */
export const mix = (direction: Colour, c: Colour): number =>
  direction[0] * c[0] + direction[1] * c[1] + direction[2] * c[2];

function meanColour(colours: readonly Colour[]): Colour {
  return [0, 1, 2].map(
    (i) => colours.reduce((sum, c) => sum + c[i]!, 0) / Math.max(colours.length, 1),
  ) as unknown as Colour;
}

/** Where a profile leaves half of its height on both sides of its middle, in rows; undefined when it has no height. */
function halfHeight(values: readonly number[], seed: number, flank: number): [number, number] | undefined {
  const low = Math.min(values[Math.max(seed - flank, 0)]!, values[Math.min(seed + flank, values.length - 1)]!);
  let top = seed;
  for (let k = Math.max(seed - 6, 0); k <= Math.min(seed + 6, values.length - 1); k++) {
    if (values[k]! > values[top]!) top = k;
  }
  const level = (values[top]! + low) / 2;
  let a = top;
  let b = top;
  while (a > 0 && values[a - 1]! > level) a--;
  while (b < values.length - 1 && values[b + 1]! > level) b++;
  return values[top]! > low && a > 1 && b < values.length - 2 ? [a, b] : undefined;
}

/**
 * Measures a candidate line in one photo: in pieces along it a blurred box is fitted to the profile across the blank
 * (its top may slope, as shading makes it), which gives both edges as places across the width and so as rolls.
 * Undefined where the photo does not show enough of it.
 */
export function measureLine(view: View, index: number, axis: BlankAxis, line: LineCandidate): LineSighting | undefined {
  const around = visibleStretch(view, axis, { from: Math.max(line.from - 14, axis.from), to: line.to + 14 }, 20);
  if (around === undefined) return undefined;
  const strip = straighten(view, axis, around, acrossPlaces(ROWS, LIMIT), PER_MM);
  const column = (s: number): number => Math.min(Math.max(Math.round((s - around.from) * PER_MM), 0), strip.columns);
  const from = Math.max(line.from + 1, around.from);
  const to = Math.min(line.to - 1, around.to);
  if (to - from < 2 * PIECE) return undefined;
  const middle = Math.min(column((from + to) / 2), strip.columns - 1);
  const facing = strip.facing[middle]!;
  const away = ((line.roll - facing + 540) % 360) - 180;
  if (Math.abs(away) > 68) return undefined;
  const spacing = (2 * LIMIT) / (ROWS - 1);
  const seed = Math.round((Math.sin((away * Math.PI) / 180) + LIMIT) / spacing);

  const row = Math.min(Math.max(seed, 0), ROWS - 1);
  const whole = rowMedians(strip, column(from), column(to));
  // The bare blank past the line's ends shows what light alone does there: a highlight on the line, the shading under
  // it.
  const past = [line.from - 10, line.to + 3].map((a) =>
    a >= around.from && a + 7 <= around.to ? rowMedians(strip, column(a), column(a + 7)) : undefined,
  );
  const seen = past.filter((rows) => rows !== undefined);
  const radius = blankRadius(axis, (from + to) / 2);
  const flankRows = Math.max(Math.round(2.2 / radius / spacing), 6);
  const flanks = [seed - flankRows, seed + flankRows].filter((k) => k >= 0 && k < ROWS).map((k) => whole[k]!);
  const ground = meanColour(seen.length > 0 ? seen.map((rows) => rows[row]!) : flanks);
  const light = whole.map((_, k) => (seen.length > 0 ? meanColour(seen.map((rows) => rows[k]!)) : ground));

  // The colour that tells line from blank, each channel by its own unevenness along the line.
  const colour = whole[row]!;
  const direction = [strip.luma, strip.blueDifference, strip.redDifference].map((channel, i) => {
    const start = row * strip.columns;
    const noise = Math.max(robustSigma(channel.subarray(start + column(from), start + column(to))), 1);
    return (colour[i]! - ground[i]!) / noise ** 2;
  }) as unknown as Colour;
  const full = mix(direction, colour) - mix(direction, ground);
  if (!(full > 0)) return undefined;
  const level = (rows: readonly Colour[]): number[] =>
    rows.map((c, k) => (mix(direction, c) - mix(direction, light[k]!)) / full);
  const profile = (a: number, b: number): number[] => level(rowMedians(strip, column(a), column(b)));
  const fit = fitPieces({ strip, axis, facing, flank: Math.max(flankRows, 16), seed: row, profile }, from, to);
  if (fit === undefined) return undefined;

  const low = median(fit.pieces.map((p) => p.low));
  const high = median(fit.pieces.map((p) => p.high));
  const rowOf = (roll: number): number =>
    Math.round((Math.sin((Math.min(Math.max(roll - facing, -85), 85) * Math.PI) / 180) + LIMIT) / spacing);
  const onLine = [rowOf(low + (high - low) * 0.3), rowOf(high - (high - low) * 0.3)];
  const gap = (0.6 / radius) * (180 / Math.PI);
  const offLine = [rowOf(low - gap), rowOf(high + gap)].filter((k) => k >= 0 && k < ROWS);
  /** On bare blank the line stops and what lies beside it goes on. */
  const endState = (beyond: readonly Colour[] | undefined, near: number[]): LineEnd => {
    if (beyond === undefined) return 'unseen';
    const change = level(beyond).map((v, k) => near[k]! - v);
    const on = onLine.reduce((sum, k) => sum + change[k]!, 0) / onLine.length;
    const off = Math.max(...offLine.map((k) => Math.abs(change[k]!)));
    return on > 0.5 && off < 0.3 * on ? 'bare' : 'covered';
  };
  return {
    view: index,
    facing,
    pieces: fit.pieces,
    softness: fit.softness,
    ends: [endState(past[0], profile(from + 2, from + 9)), endState(past[1], profile(to - 9, to - 2))],
    colour,
    ground,
    pixelsPerMm: strip.pixelsPerMm[middle]!,
  };
}

interface InStrip {
  strip: Strip;
  axis: BlankAxis;
  facing: number;
  /** row near the line's middle */
  seed: number;
  /** rows from there to where the blank is bare */
  flank: number;
  /** the rows' medians between two arc lengths: 0 = ground, 1 = line */
  profile: (a: number, b: number) => number[];
}

/** Both edges in pieces of 6 mm or more. */
function fitPieces(
  { strip, axis, facing, seed, flank, profile }: InStrip,
  from: number,
  to: number,
): { pieces: LineSighting['pieces']; softness: number } | undefined {
  const spacing = (2 * LIMIT) / (ROWS - 1);
  const pieces: LineSighting['pieces'] = [];
  const blurs: number[] = [];
  const count = Math.min(Math.max(Math.floor((to - from) / PIECE), 1), MOST_PIECES);
  for (let p = 0; p < count; p++) {
    const a = from + (p * (to - from)) / count;
    const b = from + ((p + 1) * (to - from)) / count;
    const along = (a + b) / 2;
    const radius = blankRadius(axis, along);
    const values = profile(a, b);
    if (!values.every(Number.isFinite)) continue;
    const half = halfHeight(values, seed, flank);
    if (half === undefined) continue;
    const reach = Math.max(Math.round(1.3 / radius / spacing), 5);
    const x: number[] = [];
    const y: number[] = [];
    for (let k = Math.max(half[0] - reach, 0); k <= Math.min(half[1] + reach, ROWS - 1); k++) {
      x.push(strip.across[k]! * radius);
      y.push(values[k]!);
    }
    const c = Math.min(Math.max(Math.round((along - strip.from) / strip.step), 0), strip.columns - 1);
    const ppm = strip.pixelsPerMm[c]!;
    const start = {
      tip: strip.across[half[0]]! * radius,
      butt: strip.across[half[1]]! * radius,
      blur: 0.75 / ppm,
      height: 1,
      level: 0,
      slope: 0,
    };
    const repeat = Math.max(1.5 / (ppm * radius * spacing), 1);
    const fit = fitBox(x, y, start, 0.75 / ppm, { leaning: true, repeat });
    if (fit === undefined || fit.height < 0.3 || fit.butt - fit.tip > WIDEST || fit.butt - fit.tip < 0.35) continue;
    if (Math.max(Math.abs(fit.tip), Math.abs(fit.butt)) > 0.93 * radius) continue;
    blurs.push(fit.blur * ppm);
    pieces.push({ along, low: facing + degrees(fit.tip / radius), high: facing + degrees(fit.butt / radius) });
  }
  return pieces.length < Math.max(0.6 * count, 2) ? undefined : { pieces, softness: median(blurs) };
}
