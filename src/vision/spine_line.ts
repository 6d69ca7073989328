import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { median, robustSigma } from '../numerics/robust.ts';
import { fitBox } from './box_profile.ts';
import {
  beyondEnds,
  columnAt,
  degrees,
  inPieces,
  lengthwise,
  type LengthwiseStrip,
  lengthwiseStrip,
  type LineEnd,
  type LineSighting,
  mix,
  rowAt,
  rowMedians,
  rowSpacing,
} from './lengthwise_strip.ts';
import type { LineCandidate } from './spine_search.ts';
import type { View } from './strip.ts';
import type { Colour } from './strip_relief.ts';

/**
 * What a marker's stroke along the blank is taken for one by (common practice, no source, where nothing else is said).
 */
const stroke = {
  /** mm off its ends that are measured: less, and the rounded end joins in */
  inset: 1,
  /** mm wide, with room for blur; wider lets tape and highlights in */
  narrowest: 0.35,
  widest: 3.6,
  /** mm from its middle to where the blank is itself again, and rows at least */
  flank: 2.2,
  flankRows: 6,
  fitFlankRows: 16,
  /** rows to both sides of where it was found within which it is highest */
  seedRows: 6,
  /** mm and rows beyond its half height that a fit takes in */
  reach: 1.3,
  reachRows: 5,
  /** blur of lens and sensor, pixels; samples closer than twice that repeat each other's noise */
  blur: 0.75,
  repeat: 1.5,
  /**
   * lowest height of a piece, as a share of the whole line's, and how far round (share of the radius) its edges may lie
   */
  leastHeight: 0.3,
  farthest: 0.93,
  /**
   * its end lies on bare blank where the colour falls by this share of its height, and what is this far beside it (mm)
   * by less than that share of the fall
   */
  endFall: 0.5,
  beside: 0.6,
  besideFall: 0.3,
  /**
   * what is looked at there: its colour this share of its width off both edges, no farther round than so many degrees
   */
  offEdge: 0.3,
  farthestRound: 85,
  /** the last mm before its end are looked at from here to there */
  nearEnd: { from: 2, to: 9 },
} as const;

function meanColour(colours: readonly Colour[]): Colour {
  return [0, 1, 2].map(
    (i) => colours.reduce((sum, c) => sum + c[i]!, 0) / Math.max(colours.length, 1),
  ) as unknown as Colour;
}

/** Where a profile leaves half of its height on both sides of its middle, in rows; undefined when it has no height. */
function halfHeight(values: readonly number[], seed: number, flank: number): [number, number] | undefined {
  const low = Math.min(values[Math.max(seed - flank, 0)]!, values[Math.min(seed + flank, values.length - 1)]!);
  let top = seed;
  for (let k = Math.max(seed - stroke.seedRows, 0); k <= Math.min(seed + stroke.seedRows, values.length - 1); k++) {
    if (values[k]! > values[top]!) top = k;
  }
  const level = (values[top]! + low) / 2;
  let a = top;
  let b = top;
  while (a > 0 && values[a - 1]! > level) a--;
  while (b < values.length - 1 && values[b + 1]! > level) b++;
  return values[top]! > low && a > 1 && b < values.length - 2 ? [a, b] : undefined;
}

/** How one strip tells a stroke from the blank. */
interface StrokeColours {
  colour: Colour;
  ground: Colour;
  /** what light alone does at each row */
  light: readonly Colour[];
  /** the colour that tells line from blank, and how far the line stands along it */
  direction: Colour;
  full: number;
}

/** See `StrokeColours`; `row` = the line's middle, `past` = the rows past its ends. Undefined where nothing tells. */
function strokeColours(
  seen: LengthwiseStrip,
  row: number,
  flankRows: number,
  past: readonly (readonly Colour[] | undefined)[],
): StrokeColours | undefined {
  const { strip, from, to, seed } = seen;
  const whole = rowMedians(seen, from, to);
  // The bare blank past the line's ends shows what light alone does there: a highlight on the line, the shading under
  // it.
  const bare = past.filter((rows) => rows !== undefined);
  const flanks = [seed - flankRows, seed + flankRows].filter((k) => k >= 0 && k < lengthwise.rows);
  const ground = meanColour(bare.length > 0 ? bare.map((rows) => rows[row]!) : flanks.map((k) => whole[k]!));
  const light = whole.map((_, k) => (bare.length > 0 ? meanColour(bare.map((rows) => rows[k]!)) : ground));
  // Each channel counts by its own unevenness along the line.
  const colour = whole[row]!;
  const direction = [strip.luma, strip.blueDifference, strip.redDifference].map((channel, i) => {
    const start = row * strip.columns;
    const noise = robustSigma(channel.subarray(start + columnAt(strip, from), start + columnAt(strip, to)));
    return (colour[i]! - ground[i]!) / Math.max(noise, 1) ** 2;
  }) as unknown as Colour;
  const full = mix(direction, colour) - mix(direction, ground);
  return full > 0 ? { colour, ground, light, direction, full } : undefined;
}

/** Rows between ground (0) and line (1). */
const levels = (rows: readonly Colour[], { direction, light, full }: StrokeColours): number[] =>
  rows.map((c, k) => (mix(direction, c) - mix(direction, light[k]!)) / full);

/**
 * Measures a candidate line in one photo: in pieces along it a blurred box is fitted to the profile across the blank
 * (its top may slope, as shading makes it), which gives both edges as places across the width and so as rolls.
 * Undefined where the photo does not show enough of it.
 */
export function measureLine(view: View, index: number, axis: BlankAxis, line: LineCandidate): LineSighting | undefined {
  const seen = lengthwiseStrip(view, axis, line, stroke.inset);
  if (seen === undefined) return undefined;
  const row = Math.min(Math.max(seen.seed, 0), lengthwise.rows - 1);
  const flankRows = Math.max(Math.round(stroke.flank / seen.radius / rowSpacing), stroke.flankRows);
  const past = beyondEnds(seen, line);
  const colours = strokeColours(seen, row, flankRows, past);
  if (colours === undefined) return undefined;
  const flank = Math.max(flankRows, stroke.fitFlankRows);
  const fit = inPieces(seen, (a, b, along) =>
    fitPiece(seen, axis, { seed: row, flank }, levels(rowMedians(seen, a, b), colours), along),
  );
  if (fit === undefined) return undefined;
  return {
    view: index,
    facing: seen.facing,
    ...fit,
    ends: lineEnds(seen, colours, past, fit.pieces),
    colour: colours.colour,
    ground: colours.ground,
    pixelsPerMm: seen.pixelsPerMm,
  };
}

/**
 * A blurred box on one piece's profile across; `seed` = row near its middle, `flank` = rows from there to bare blank.
 */
function fitPiece(
  { strip, facing }: LengthwiseStrip,
  axis: BlankAxis,
  { seed, flank }: { seed: number; flank: number },
  values: readonly number[],
  along: number,
): { low: number; high: number; softness: number } | undefined {
  const radius = blankRadius(axis, along);
  if (!values.every(Number.isFinite)) return undefined;
  const half = halfHeight(values, seed, flank);
  if (half === undefined) return undefined;
  const reach = Math.max(Math.round(stroke.reach / radius / rowSpacing), stroke.reachRows);
  const x: number[] = [];
  const y: number[] = [];
  for (let k = Math.max(half[0] - reach, 0); k <= Math.min(half[1] + reach, lengthwise.rows - 1); k++) {
    x.push(strip.across[k]! * radius);
    y.push(values[k]!);
  }
  const c = Math.min(Math.max(Math.round((along - strip.from) / strip.step), 0), strip.columns - 1);
  const ppm = strip.pixelsPerMm[c]!;
  const blur = stroke.blur / ppm;
  const [tip, butt] = [strip.across[half[0]]! * radius, strip.across[half[1]]! * radius];
  const repeat = Math.max(stroke.repeat / (ppm * radius * rowSpacing), 1);
  const start = { tip, butt, blur, height: 1, level: 0, slope: 0 };
  const fit = fitBox(x, y, start, blur, { leaning: true, repeat });
  if (fit === undefined || fit.height < stroke.leastHeight) return undefined;
  const width = fit.butt - fit.tip;
  if (width > stroke.widest || width < stroke.narrowest) return undefined;
  if (Math.max(Math.abs(fit.tip), Math.abs(fit.butt)) > stroke.farthest * radius) return undefined;
  return {
    low: facing + degrees(fit.tip / radius),
    high: facing + degrees(fit.butt / radius),
    softness: fit.blur * ppm,
  };
}

/** On bare blank the line stops and what lies beside it goes on. */
function lineEnds(
  seen: LengthwiseStrip,
  colours: StrokeColours,
  past: readonly (readonly Colour[] | undefined)[],
  pieces: LineSighting['pieces'],
): [LineEnd, LineEnd] {
  const low = median(pieces.map((p) => p.low));
  const high = median(pieces.map((p) => p.high));
  const rowOf = (roll: number): number =>
    rowAt(Math.min(Math.max(roll - seen.facing, -stroke.farthestRound), stroke.farthestRound));
  const onLine = [rowOf(low + (high - low) * stroke.offEdge), rowOf(high - (high - low) * stroke.offEdge)];
  const gap = (stroke.beside / seen.radius) * (180 / Math.PI);
  const offLine = [rowOf(low - gap), rowOf(high + gap)].filter((k) => k >= 0 && k < lengthwise.rows);
  const stateOf = (beyond: readonly Colour[] | undefined, from: number, to: number): LineEnd => {
    if (beyond === undefined) return 'unseen';
    const near = levels(rowMedians(seen, from, to), colours);
    const change = levels(beyond, colours).map((v, k) => near[k]! - v);
    const on = onLine.reduce((sum, k) => sum + change[k]!, 0) / onLine.length;
    const off = Math.max(...offLine.map((k) => Math.abs(change[k]!)));
    return on > stroke.endFall && off < stroke.besideFall * on ? 'bare' : 'covered';
  };
  const { from, to } = stroke.nearEnd;
  return [stateOf(past[0], seen.from + from, seen.from + to), stateOf(past[1], seen.to - to, seen.to - from)];
}
