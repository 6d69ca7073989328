import type { BlankAxis } from '../geometry/blank_axis.ts';
import {
  beyondEnds,
  degrees,
  inPieces,
  lengthwise,
  type LengthwiseStrip,
  lengthwiseStrip,
  type LineEnd,
  type LineSighting,
  mix,
  rowMedians,
  rowSpacing,
} from './lengthwise_strip.ts';
import type { LineCandidate } from './spine_search.ts';
import type { View } from './strip.ts';
import type { Colour } from './strip_relief.ts';

/** What a strip of tape's lengthwise edge is taken for one by (common practice, no source). */
const tapeEdge = {
  /** mm off the strip's ends that are measured: cut ends are rarely square */
  inset: 2,
  /** mm from the edge to where tape and blank are themselves */
  aside: 0.8,
  /**
   * mm onto the tape where a marker's stroke, which is narrower, would have ended, and the share of tape it still shows
   */
  stroke: 2.8,
  goesOn: 0.4,
  /** rows at the outlines that tell nothing of it */
  outlineRows: 3,
  /** past the strip's end, of its contrast: the blank's side changes by less than this share, the tape's by more */
  blankStays: 0.3,
  tapeGoes: 0.7,
  /** the edge's blur is told from here to there; a normal blur takes 1.68 standard deviations for that */
  blurFrom: 0.2,
  blurTo: 0.8,
  blurWidths: 1.68,
} as const;

const minus = (a: Colour, b: Colour): Colour => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const size = (c: Colour): number => Math.hypot(...c);

/** Which side of the edge is tape (`step` = 1 toward larger roll), as the bare blank past the strip's ends tells it. */
interface TapeSide {
  ends: [LineEnd, LineEnd];
  step: 1 | -1;
  /** rows past the ends that show bare blank */
  bare: readonly (readonly Colour[])[];
}

function tapeSide(
  seen: LengthwiseStrip,
  line: LineCandidate,
  inside: readonly Colour[],
  aside: number,
): TapeSide | undefined {
  const { seed } = seen;
  const contrast = size(minus(inside[seed + aside]!, inside[seed - aside]!));
  const bare: Colour[][] = [];
  let step: 1 | -1 | undefined;
  const ends = beyondEnds(seen, line).map((beyond): LineEnd => {
    if (beyond === undefined) return 'unseen';
    const changes = [seed - aside, seed + aside].map((k) => size(minus(inside[k]!, beyond[k]!)) / contrast);
    const { blankStays, tapeGoes } = tapeEdge;
    if (!(Math.min(...changes) < blankStays && Math.max(...changes) > tapeGoes)) return 'covered';
    step = changes[1]! > changes[0]! ? 1 : -1;
    bare.push(beyond);
    return 'bare';
  }) as [LineEnd, LineEnd];
  return step && { ends, step, bare };
}

/** The row (not whole) where the share of tape passes a level, walking from the blank onto the tape. */
function crossing(share: readonly number[], level: number, seed: number, aside: number, step: 1 | -1) {
  for (let k = seed - step * aside; k !== seed + step * (aside + 1); k += step) {
    const here = share[k] ?? Number.NaN;
    const next = share[k + step] ?? Number.NaN;
    if (here < level && next >= level) return k + (step * (level - here)) / (next - here);
  }
  return undefined;
}

/**
 * Measures one lengthwise edge of a strip of tape in a photo. The bare blank past the strip's end tells which side is
 * tape and what light alone does; what differs from it steps from 0 to 1 at the edge. Undefined where no end of the
 * strip shows. In the sighting's pieces both rolls are the edge's.
 */
export function measureEdge(view: View, index: number, axis: BlankAxis, line: LineCandidate): LineSighting | undefined {
  const seen = lengthwiseStrip(view, axis, line, tapeEdge.inset);
  if (seen === undefined) return undefined;
  const { seed, radius, facing, pixelsPerMm } = seen;
  const aside = Math.round(tapeEdge.aside / radius / rowSpacing);
  if (seed - aside < 0 || seed + aside >= lengthwise.rows) return undefined;
  const inside = rowMedians(seen, seen.from, seen.to);
  const side = tapeSide(seen, line, inside, aside);
  if (side === undefined) return undefined;
  const { step, bare } = side;
  const light = inside.map(
    (_, k) =>
      [0, 1, 2].map((i) => bare.reduce((sum, rows) => sum + rows[k]![i]!, 0) / bare.length) as unknown as Colour,
  );
  const tape = seed + step * aside;
  const direction = minus(inside[tape]!, light[tape]!);
  const full = mix(direction, direction);
  // A strip of tape goes on where a stroke would have ended.
  const { outlineRows } = tapeEdge;
  const strokeEnd = seed + Math.round((step * tapeEdge.stroke) / radius / rowSpacing);
  const within = Math.min(Math.max(strokeEnd, outlineRows), lengthwise.rows - 1 - outlineRows);
  if (!(mix(direction, minus(inside[within]!, light[within]!)) > tapeEdge.goesOn * full)) return undefined;
  const read = inPieces(seen, (a, b) => {
    const share = rowMedians(seen, a, b).map((c, k) => mix(direction, minus(c, light[k]!)) / full);
    const { blurFrom, blurTo, blurWidths } = tapeEdge;
    const [low, half, high] = [blurFrom, 0.5, blurTo].map((level) => crossing(share, level, seed, aside, step));
    if (low === undefined || half === undefined || high === undefined) return undefined;
    const roll = facing + degrees(-lengthwise.limit + half * rowSpacing);
    const softness = (Math.abs(high - low) / blurWidths) * rowSpacing * radius * pixelsPerMm;
    return { low: roll, high: roll, softness };
  });
  return (
    read && { view: index, facing, ...read, ends: side.ends, colour: inside[tape]!, ground: light[tape]!, pixelsPerMm }
  );
}
