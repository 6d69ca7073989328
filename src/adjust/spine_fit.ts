import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { type MarkColour, nameColour } from '../vision/mark_colour.ts';
import { paperColour } from '../vision/paper.ts';
import { robustSigma } from '../numerics/robust.ts';
import type { LineSighting } from '../vision/lengthwise_strip.ts';
import { measureLine } from '../vision/spine_line.ts';
import { type LineCandidate, searchSpineLines } from '../vision/spine_search.ts';
import { measureEdge } from '../vision/tape_edge.ts';
import type { Stretch, View, ViewIndex, PerView } from '../vision/strip.ts';
import type { Estimate } from './mark_fit.ts';

/**
 * The line drawn along the blank's spine: arc lengths in mm, roll in degrees about the axis (as in `rollDirection`).
 */
export interface SpineLine {
  from: number;
  to: number;
  kind: 'stroke' | 'tape-edge';
  /**
   * of a stroke's middle, or of the edge of a strip of tape (of two, the one nearer to the top of the blank as it
   * lies). Waver along the line and the photos' disagreement are in the uncertainty.
   */
  roll: Estimate;
  /** mm round the blank; 0 for an edge */
  width: number;
  colour: MarkColour;
  /** indices of the views that show it */
  views: ViewIndex[];
  sightings: LineSighting[];
}

export interface SpineFitOptions {
  /** arc lengths to search, mm */
  range: Stretch;
  /** standard uncertainty of the axis's place across the blank, mm; it turns the line by this over the radius */
  axisAcross?: number;
}

const middleRoll = (s: LineSighting): number =>
  s.pieces.reduce((sum, p) => sum + (p.low + p.high) / 2, 0) / s.pieces.length;

const meanWidth = (s: LineSighting): number => s.pieces.reduce((sum, p) => sum + p.high - p.low, 0) / s.pieces.length;

/**
 * Standard uncertainty of the mean of a wavering sequence: neighbours repeat each other, so count half of the pieces.
 */
function waver(s: LineSighting): number {
  const mean = middleRoll(s);
  const variance =
    s.pieces.reduce((sum, p) => sum + ((p.low + p.high) / 2 - mean) ** 2, 0) / Math.max(s.pieces.length - 1, 1);
  return Math.sqrt(variance / Math.max(s.pieces.length / 2, 1));
}

/** Blur (photo pixels) of a painted edge in a photo worth measuring, and with some to spare where photos agree. */
const SHARP = 1;
const SHARP_ENOUGH = 1.7;

/** Levels of luma and colour together by which paint or tape differs from a blank, at least. */
const PAINT_CONTRAST = 25;
/** The same where no second side confirms it. */
const SURE_CONTRAST = 45;

const contrastOf = ({ colour: c, ground: g }: LineSighting): number =>
  Math.hypot(c[0] - g[0], c[1] - g[1], c[2] - g[2]);

/** mm by which a drawn line's pieces may stray from straight, and its width change. */
const STRAY = 0.2;

/** A hand draws about straight, of about one width, and so that it can be seen. */
function isDrawn(s: LineSighting, radius: number): boolean {
  const mm = (degrees: number): number => (degrees * Math.PI * radius) / 180;
  const stray = mm(robustSigma(s.pieces.map((p) => (p.low + p.high) / 2)));
  const swell = mm(robustSigma(s.pieces.map((p) => p.high - p.low)));
  return stray < STRAY && swell < STRAY + 0.1 * mm(meanWidth(s)) && contrastOf(s) > PAINT_CONTRAST;
}

/** mm of line that a reflection between two guides does not reach. */
const LONG = 60;

/**
 * Is it paint, not light? A highlight lies where the surface halves the angle between lamp and camera, so it turns by
 * half of what the line of sight turns; paint does not turn. Where no two photos look from sides different enough,
 * paint shows by ending on bare blank at both ends, which a highlight along a straight cone does not.
 */
function isPainted(line: LineCandidate, sightings: readonly LineSighting[], axis: BlankAxis): boolean {
  const softness = Math.max(...sightings.map((s) => s.softness));
  const radius = blankRadius(axis, (line.from + line.to) / 2);
  if (!sightings.every((s) => isDrawn(s, radius))) return false;
  const widths = sightings.map(meanWidth);
  if (softness > SHARP_ENOUGH || Math.max(...widths) > 1.35 * Math.min(...widths)) return false;
  const bare = [0, 1].filter((end) => {
    const states = sightings.map((s) => s.ends[end as 0 | 1]);
    return states.includes('bare') && !states.includes('covered');
  });
  const facings = sightings.map((s) => s.facing);
  const low = facings.indexOf(Math.min(...facings));
  const high = facings.indexOf(Math.max(...facings));
  const turned = facings[high]! - facings[low]!;
  if (turned < 8) return bare.length === 2 && softness < SHARP && sightings.every((s) => contrastOf(s) > SURE_CONTRAST);
  const moved = Math.abs(middleRoll(sightings[high]!) - middleRoll(sightings[low]!));
  return moved < 0.25 * turned && (bare.length > 0 || line.to - line.from >= LONG);
}

/**
 * One edge has less to tell it from light than a stroke's two, so it must show from two sides, end on bare blank at
 * both ends, be sharp, and differ from the blank as tape does.
 */
function isSureEdge(sightings: readonly LineSighting[]): boolean {
  const facings = sightings.map((s) => s.facing);
  const ends = [0, 1].every((end) => sightings.some((s) => s.ends[end as 0 | 1] === 'bare'));
  return (
    ends &&
    Math.max(...facings) - Math.min(...facings) >= 8 &&
    sightings.every((s) => s.softness < SHARP && !s.ends.includes('covered'))
  );
}

/** Strong, long, sharp and ending on bare blank is best. */
function merit(line: LineCandidate, sightings: readonly LineSighting[]): number {
  const bare = Math.max(...sightings.map((s) => s.ends.filter((end) => end === 'bare').length));
  const softness = Math.min(...sightings.map((s) => s.softness));
  return (line.strength * Math.sqrt(Math.min(line.to - line.from, 100)) * (1 + bare)) / softness;
}

function join(
  sightings: readonly LineSighting[],
  axis: BlankAxis,
  line: LineCandidate,
  axisAcross: number,
): Omit<SpineLine, 'colour' | 'kind'> {
  const radius = blankRadius(axis, (line.from + line.to) / 2);
  // A place across the width says less about roll the farther round it lies.
  const weights = sightings.map((s) => (Math.cos(((middleRoll(s) - s.facing) * Math.PI) / 180) * s.pixelsPerMm) ** 2);
  const total = weights.reduce((a, b) => a + b, 0);
  const roll = sightings.reduce((sum, s, i) => sum + weights[i]! * middleRoll(s), 0) / total;
  const scatter =
    sightings.length < 2
      ? 0
      : Math.sqrt(
          sightings.reduce((sum, s, i) => sum + weights[i]! * (middleRoll(s) - roll) ** 2, 0) /
            total /
            (sightings.length - 1),
        );
  const reading = (0.1 / Math.max(...sightings.map((s) => s.pixelsPerMm)) / radius) * (180 / Math.PI);
  const across = (axisAcross / radius) * (180 / Math.PI);
  const widths = sightings.map((s) => (meanWidth(s) * Math.PI * radius) / 180);
  return {
    from: line.from,
    to: line.to,
    roll: { value: roll, u: Math.hypot(Math.min(...sightings.map(waver)), scatter, reading, across) },
    width: widths.reduce((sum, v, i) => sum + v * weights[i]!, 0) / total,
    views: sightings.map((s) => s.view),
    sightings: [...sightings],
  };
}

/**
 * Finds and measures the lengthwise line (30 mm or longer) drawn along the blank's spine, from its place across the
 * blank's width in every photo that shows it. Undefined when there is none, or none that is surely not a highlight.
 */
export function fitSpineLine(views: PerView<View>, axis: BlankAxis, options: SpineFitOptions): SpineLine | undefined {
  const lines = (shape: 'stroke' | 'edge') =>
    searchSpineLines(views, axis, options.range, shape)
      .flatMap((line) => {
        const measure = shape === 'stroke' ? measureLine : measureEdge;
        const sightings = views.flatMap((view, i) => measure(view, i, axis, line) ?? []);
        const sure = shape === 'stroke' || isSureEdge(sightings);
        return sightings.length > 0 && isPainted(line, sightings, axis) && sure
          ? [{ line, sightings, merit: merit(line, sightings) }]
          : [];
      })
      .sort((a, b) => b.merit - a.merit);
  const [stroke] = lines('stroke');
  // Both edges of one strip come up about as strong.
  const edges = stroke === undefined ? lines('edge') : [];
  const [edge] = edges
    .filter((other) => other.merit > 0.4 * edges[0]!.merit)
    .sort((a, b) => Math.abs(middleRoll(a.sightings[0]!)) - Math.abs(middleRoll(b.sightings[0]!)));
  const best = stroke ?? edge;
  if (best === undefined) return undefined;
  const closest = best.sightings.reduce((a, b) => (a.pixelsPerMm >= b.pixelsPerMm ? a : b));
  const paper = paperColour(views[closest.view]!, axis, (best.line.from + best.line.to) / 2);
  return {
    kind: stroke === undefined ? 'tape-edge' : 'stroke',
    ...join(best.sightings, axis, best.line, options.axisAcross ?? 0.02),
    colour: nameColour(closest.colour, closest.ground, paper ?? [235, 128, 128]),
  };
}
