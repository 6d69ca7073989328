import type { Estimate } from '../numerics/estimate.ts';
import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { type MarkColour, nameColour } from '../vision/mark_colour.ts';
import { robustSigma } from '../numerics/robust.ts';
import type { LineSighting } from '../vision/lengthwise_strip.ts';
import type { LineShape, SeenLine } from '../vision/seen_lines.ts';
import type { LineCandidate } from '../vision/spine_search.ts';
import type { ViewIndex } from '../vision/strip.ts';

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

/**
 * What tells paint or tape from light (common practice, no source; held to the highlights of tests/world). Laxer, a
 * highlight passes for the spine line and turns every roll; stricter, a faint or wavering line is not found and rolls
 * have no line to count from.
 */
const painted = {
  /** blur (photo pixels) of an edge in a photo worth measuring, and with some to spare where photos agree */
  sharp: 1,
  sharpEnough: 1.7,
  /** levels of luma and colour together by which it differs from the blank; and where no second side confirms it */
  contrast: 25,
  sureContrast: 45,
  /** mm by which a drawn line's pieces may stray from straight, and its width change beside this share of itself */
  stray: 0.2,
  swell: 0.1,
  /** photos' widths of one line differ by no more than this ratio */
  widthRatio: 1.35,
  /** photos look from sides that differ by this much, degrees, or say nothing of each other */
  turned: 8,
  /** paint moves by less than this share of what the line of sight turns; a highlight by half */
  moved: 0.25,
  /** mm of line that a reflection between two guides does not reach; longer than the second counts no more for merit */
  long: 60,
  longest: 100,
  /** of two edges of one strip the lesser comes up with this share of the better's merit */
  sameStrip: 0.4,
  /** how well an edge's place across is read, pixels */
  reading: 0.1,
  /** how well the axis's place across is known where nothing is said, mm */
  axisAcross: 0.02,
} as const;

const contrastOf = ({ colour: c, ground: g }: LineSighting): number =>
  Math.hypot(c[0] - g[0], c[1] - g[1], c[2] - g[2]);

/** A hand draws about straight, of about one width, and so that it can be seen. */
function isDrawn(s: LineSighting, radius: number): boolean {
  const mm = (degrees: number): number => (degrees * Math.PI * radius) / 180;
  const stray = mm(robustSigma(s.pieces.map((p) => (p.low + p.high) / 2)));
  const swell = mm(robustSigma(s.pieces.map((p) => p.high - p.low)));
  const steady = stray < painted.stray && swell < painted.stray + painted.swell * mm(meanWidth(s));
  return steady && contrastOf(s) > painted.contrast;
}

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
  if (softness > painted.sharpEnough || Math.max(...widths) > painted.widthRatio * Math.min(...widths)) return false;
  const bare = [0, 1].filter((end) => {
    const states = sightings.map((s) => s.ends[end as 0 | 1]);
    return states.includes('bare') && !states.includes('covered');
  });
  const facings = sightings.map((s) => s.facing);
  const low = facings.indexOf(Math.min(...facings));
  const high = facings.indexOf(Math.max(...facings));
  const turned = facings[high]! - facings[low]!;
  const sure = softness < painted.sharp && sightings.every((s) => contrastOf(s) > painted.sureContrast);
  if (turned < painted.turned) return bare.length === 2 && sure;
  const moved = Math.abs(middleRoll(sightings[high]!) - middleRoll(sightings[low]!));
  return moved < painted.moved * turned && (bare.length > 0 || line.to - line.from >= painted.long);
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
    Math.max(...facings) - Math.min(...facings) >= painted.turned &&
    sightings.every((s) => s.softness < painted.sharp && !s.ends.includes('covered'))
  );
}

/** Strong, long, sharp and ending on bare blank is best. */
function merit(line: LineCandidate, sightings: readonly LineSighting[]): number {
  const bare = Math.max(...sightings.map((s) => s.ends.filter((end) => end === 'bare').length));
  const softness = Math.min(...sightings.map((s) => s.softness));
  return (line.strength * Math.sqrt(Math.min(line.to - line.from, painted.longest)) * (1 + bare)) / softness;
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
  const reading = (painted.reading / Math.max(...sightings.map((s) => s.pixelsPerMm)) / radius) * (180 / Math.PI);
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
 * The line along the blank's spine among what was seen of one shape: a stroke of 30 mm or longer, or the edge of a
 * strip of tape. Undefined when there is none, or none that is surely not a highlight. `axisAcross` = standard
 * uncertainty of the axis's place across the blank, mm; it turns the line by this over the radius.
 */
export function fitSpineLine(
  seen: readonly SeenLine[],
  shape: LineShape,
  axis: BlankAxis,
  axisAcross: number = painted.axisAcross,
): SpineLine | undefined {
  const lines = seen
    .filter(({ line, sightings }) => isPainted(line, sightings, axis) && (shape === 'stroke' || isSureEdge(sightings)))
    .map(({ line, sightings }) => ({ line, sightings, merit: merit(line, sightings) }))
    .sort((a, b) => b.merit - a.merit);
  // Both edges of one strip come up about as strong.
  const edges = lines
    .filter((other) => other.merit > painted.sameStrip * lines[0]!.merit)
    .sort((a, b) => Math.abs(middleRoll(a.sightings[0]!)) - Math.abs(middleRoll(b.sightings[0]!)));
  const best = shape === 'stroke' ? lines[0] : edges[0];
  if (best === undefined) return undefined;
  const closest = best.sightings.reduce((a, b) => (a.pixelsPerMm >= b.pixelsPerMm ? a : b));
  return {
    kind: shape === 'stroke' ? 'stroke' : 'tape-edge',
    ...join(best.sightings, axis, best.line, axisAcross),
    colour: nameColour(closest.colour, closest.ground, closest.paper),
  };
}
