import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { median } from '../numerics/robust.ts';
import {
  degrees,
  type LineEnd,
  type LineSighting,
  LIMIT,
  MOST_PIECES,
  mix,
  PER_MM,
  PIECE,
  ROWS,
  rowMedians,
} from './spine_line.ts';
import type { LineCandidate } from './spine_search.ts';
import { acrossPlaces, straighten, type View, visibleStretch } from './strip.ts';
import type { Colour } from './strip_relief.ts';

const STROKE = 2.8; // mm; a marker's stroke is narrower
const ASIDE = 0.8; // mm from the edge to where tape and blank are themselves

const minus = (a: Colour, b: Colour): Colour => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const size = (c: Colour): number => Math.hypot(...c);

/**
 * Measures one lengthwise edge of a strip of tape in a photo. The bare blank past the strip's end tells which side is
 * tape and what light alone does; what differs from it steps from 0 to 1 at the edge. Undefined where no end of the
 * strip shows. In the sighting's pieces both rolls are the edge's.
 */
export function measureEdge(view: View, index: number, axis: BlankAxis, line: LineCandidate): LineSighting | undefined {
  const around = visibleStretch(view, axis, { from: Math.max(line.from - 14, axis.from), to: line.to + 14 }, 20);
  if (around === undefined) return undefined;
  const strip = straighten(view, axis, around, acrossPlaces(ROWS, LIMIT), PER_MM);
  const column = (s: number): number => Math.min(Math.max(Math.round((s - around.from) * PER_MM), 0), strip.columns);
  const from = Math.max(line.from + 2, around.from);
  const to = Math.min(line.to - 2, around.to);
  if (to - from < 2 * PIECE) return undefined;
  const middle = Math.min(column((from + to) / 2), strip.columns - 1);
  const facing = strip.facing[middle]!;
  const away = ((line.roll - facing + 540) % 360) - 180;
  const spacing = (2 * LIMIT) / (ROWS - 1);
  const radius = blankRadius(axis, (from + to) / 2);
  const aside = Math.round(ASIDE / radius / spacing);
  const seed = Math.round((Math.sin((away * Math.PI) / 180) + LIMIT) / spacing);
  if (Math.abs(away) > 68 || seed - aside < 0 || seed + aside >= ROWS) return undefined;

  const inside = rowMedians(strip, column(from), column(to));
  const contrast = size(minus(inside[seed + aside]!, inside[seed - aside]!));
  const beyond: Colour[][] = [];
  let tapeIsHigh: boolean | undefined;
  const ends = [line.from, line.to].map((end, i): LineEnd => {
    const a = i === 0 ? end - 10 : end + 3;
    if (a < around.from || a + 7 > around.to) return 'unseen';
    const bare = rowMedians(strip, column(a), column(a + 7));
    const changes = [seed - aside, seed + aside].map((k) => size(minus(inside[k]!, bare[k]!)) / contrast);
    if (!(Math.min(...changes) < 0.3 && Math.max(...changes) > 0.7)) return 'covered';
    tapeIsHigh = changes[1]! > changes[0]!;
    beyond.push(bare);
    return 'bare';
  }) as [LineEnd, LineEnd];
  if (tapeIsHigh === undefined) return undefined;
  const light = inside.map(
    (_, k) =>
      [0, 1, 2].map((i) => beyond.reduce((sum, rows) => sum + rows[k]![i]!, 0) / beyond.length) as unknown as Colour,
  );
  const tape = seed + (tapeIsHigh ? aside : -aside);
  const direction = minus(inside[tape]!, light[tape]!);
  const full = mix(direction, direction);
  // A strip of tape goes on where a stroke would have ended.
  const within = Math.min(
    Math.max(seed + Math.round(((tapeIsHigh ? 1 : -1) * STROKE) / radius / spacing), 3),
    ROWS - 4,
  );
  if (!(mix(direction, minus(inside[within]!, light[within]!)) > 0.4 * full)) return undefined;

  const pieces: LineSighting['pieces'] = [];
  const blurs: number[] = [];
  const count = Math.min(Math.max(Math.floor((to - from) / PIECE), 1), MOST_PIECES);
  for (let p = 0; p < count; p++) {
    const a = from + (p * (to - from)) / count;
    const b = from + ((p + 1) * (to - from)) / count;
    const share = rowMedians(strip, column(a), column(b)).map((c, k) => mix(direction, minus(c, light[k]!)) / full);
    const step = tapeIsHigh ? 1 : -1;
    /** Where the share of tape passes a level, walking from the blank onto the tape. */
    const crossing = (level: number): number | undefined => {
      for (let k = seed - step * aside; k !== seed + step * (aside + 1); k += step) {
        const here = share[k] ?? Number.NaN;
        const next = share[k + step] ?? Number.NaN;
        if (here < level && next >= level) return k + (step * (level - here)) / (next - here);
      }
      return undefined;
    };
    const [low, half, high] = [crossing(0.2), crossing(0.5), crossing(0.8)];
    if (low === undefined || half === undefined || high === undefined) continue;
    const roll = facing + degrees(-LIMIT + half * spacing);
    // A normal blur goes from 20 to 80 % in 1.68 standard deviations.
    blurs.push((Math.abs(high - low) / 1.68) * spacing * radius * strip.pixelsPerMm[middle]!);
    pieces.push({ along: (a + b) / 2, low: roll, high: roll });
  }
  if (pieces.length < Math.max(0.6 * count, 2)) return undefined;
  return {
    view: index,
    facing,
    pieces,
    softness: median(blurs),
    ends,
    colour: inside[tape]!,
    ground: light[tape]!,
    pixelsPerMm: strip.pixelsPerMm[middle]!,
  };
}
