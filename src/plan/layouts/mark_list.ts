import type { Stretch } from '../stretch.ts';
import { trimBandsOf, underwrapOf } from '../bench/underwraps.ts';
import { feetOf, threadFor, usualWraps, type WrapPractice, wrapsOf } from '../foot.ts';
import { lengthDigits, type LengthDisplay } from '../lengths/length_text.ts';
import type { PieceEnd } from '../pieces/joint.ts';
import { type Piece, piecesOf, planOfPiece } from '../pieces/pieces.ts';
import { type Plan, type PlanDatum, type PositionKind, planStart, ringOf } from '../plan.ts';
import { displayOf, nearestReading, readingText, type TapeDivision } from '../lengths/tape_reading.ts';

/** Where the tape's hook or zero sits. */
export type MarkDatum =
  | { from: 'tip' }
  | { from: 'butt' }
  | { from: 'ferrule'; at: number }
  /** an end of a piece that lies by itself, spigot included */
  | { from: 'piece'; at: number; end: PieceEnd };

/** One line of the list a builder marks by; mm, measured from the datum: `toward` says which way the tape runs. */
export interface MarkRow {
  id: string;
  kind: PositionKind;
  /** from the rod's tip, whatever the datum */
  at: number;
  distance: number;
  toward: 'tip' | 'butt';
  /** nearest tape reading and what rounding leaves: distance less reading */
  reading: number;
  left: number;
  ringOuter?: number;
  /** where the guide belongs round the blank, degrees, clockwise as seen from the butt; absent for other marks */
  roll?: number;
  /** feet and wraps, each from its start to its end along the tape */
  feet: Stretch[];
  wraps: WoundStretch[];
  /** thread under a guide, and bands of another colour outside its wraps, where they are planned */
  underwrap?: WoundStretch;
  trim: WoundStretch[];
}

/** A stretch wound with thread, from its start to its end along the tape; mm. */
export interface WoundStretch extends Stretch {
  turns: number;
  thread: number;
}

export interface MarkList {
  title: string;
  division: TapeDivision;
  datum: MarkDatum;
  /** what is meant by the tip, where it is a place on the tip-top */
  tip?: Exclude<PlanDatum, 'blank-tip'>;
  rows: MarkRow[];
  /** thread for all wraps that are known, mm */
  thread: number;
  /** the same for underwraps and for trim bands, each of its own colour */
  underwrapThread: number;
  trimThread: number;
  /** guides whose feet the plan does not describe, so that their wraps are not known */
  withoutFeet: string[];
}

/** A division for a plan whose builder has not chosen one. */
export const usualDivision = (plan: Plan): TapeDivision => (plan.unit === 'in' ? '1/32 in' : '0.5 mm');

/** The tip, or for a section without it the ferrule end it begins with, since no tape reaches the tip from there. */
export function usualDatum(plan: Plan): MarkDatum {
  const { section } = plan;
  if (!section || section.startsAt === 0) return { from: 'tip' };
  const [{ from, tipSide }] = piecesOf(plan) as [Piece];
  return tipSide === 'ferrule' ? { from: 'ferrule', at: from } : { from: 'piece', at: from, end: tipSide };
}

/** A list for each piece of the rod, each from that piece's own end; one list where it does not come apart. */
export function markLists(
  plan: Plan,
  { from = 'tip', ...options }: { division?: TapeDivision; wraps?: WrapPractice; from?: 'tip' | 'butt' } = {},
): MarkList[] {
  const pieces = piecesOf(plan);
  return pieces.map(({ number, to, buttSide }) => {
    const own = pieces.length === 1 ? plan : planOfPiece(plan, number);
    const atButt: MarkDatum = buttSide === 'butt' ? { from: 'butt' } : { from: 'piece', at: to, end: buttSide };
    return markList(own, { ...options, datum: from === 'butt' ? atButt : usualDatum(own) });
  });
}

/** The list of marks, feet, wraps and thread for a plan. */
export function markList(
  plan: Plan,
  {
    datum = usualDatum(plan),
    division = usualDivision(plan),
    wraps = usualWraps,
  }: { datum?: MarkDatum; division?: TapeDivision; wraps?: WrapPractice } = {},
): MarkList {
  const zero = datum.from === 'tip' ? 0 : datum.from === 'butt' ? planStart(plan) + plan.blank.length : datum.at;
  const rows = plan.positions.map((position): MarkRow => {
    const toward = position.at >= zero ? 'butt' : 'tip';
    const sign = toward === 'butt' ? 1 : -1;
    const onTape = ({ from, to }: Stretch): Stretch => {
      const ends = [sign * (from - zero), sign * (to - zero)];
      return { from: Math.min(...ends), to: Math.max(...ends) };
    };
    const distance = Math.abs(position.at - zero);
    const ring = ringOf(position.guide);
    const wound = (stretch: Stretch): WoundStretch => {
      const { turns, length } = threadFor(stretch, plan, wraps.threadDiameter);
      return { ...onTape(stretch), turns, thread: length };
    };
    const underwrap = underwrapOf(position, plan, wraps);
    return {
      id: position.id,
      kind: position.kind,
      at: position.at,
      distance,
      toward,
      ...nearestReading(distance, division),
      ...(ring && { ringOuter: ring.ringOuter }),
      ...(position.guide && { roll: position.guide.roll ?? 0 }),
      feet: feetOf(position).map(onTape),
      wraps: wrapsOf(position, plan, wraps).map(wound),
      ...(underwrap && { underwrap: wound(underwrap) }),
      trim: trimBandsOf(position, plan, wraps).map(wound),
    };
  });
  return {
    title: plan.title,
    division,
    datum,
    ...(plan.datum && { tip: plan.datum }),
    rows,
    thread: threadOf(rows.flatMap((row) => row.wraps)),
    underwrapThread: threadOf(rows.flatMap((row) => row.underwrap ?? [])),
    trimThread: threadOf(rows.flatMap((row) => row.trim)),
    withoutFeet: rows.filter(({ kind, wraps: own }) => kind === 'guide' && own.length === 0).map(({ id }) => id),
  };
}

const threadOf = (wound: readonly WoundStretch[]): number => wound.reduce((sum, { thread }) => sum + thread, 0);

const kindWords: Record<PositionKind, string> = {
  guide: 'guide',
  'tip-wrap': 'tip wrap',
  'ferrule-wrap': 'ferrule wrap',
  'hook-keeper': 'hook keeper',
};

const tipWords = { 'tip-top-ring': 'tip-top’s ring', 'tube-end': 'tip-top’s tube end' };

/** What a tape is laid to at an end of a piece. */
export const pieceEndWords: Record<PieceEnd, string> = {
  tip: 'tip',
  butt: 'butt',
  ferrule: 'ferrule',
  opening: 'opening',
  spigot: 'spigot’s end',
  'end that goes in': 'end that goes in',
};

/** Where the list's tape begins, as "from the tip". */
export function datumWords({ datum, tip }: MarkList): string {
  if (datum.from === 'piece') return `from the ${pieceEndWords[datum.end]}`;
  return `from the ${datum.from === 'tip' && tip ? tipWords[tip] : datum.from}`;
}

/** The list as cells of text: a heading row, then one row a mark; for a table on screen, on a terminal or in a file. */
export function markCells(list: MarkList, display: LengthDisplay = displayOf(list.division)): string[][] {
  const unit = display === 'mm' ? 'mm' : 'in';
  const fine = (mm: number) => lengthDigits(mm, display, { mmDecimals: 1, inchDecimals: 3, denominator: 32 });
  const exact = (mm: number) => lengthDigits(mm, display === 'mm' ? 'mm' : 'in', { mmDecimals: 2, inchDecimals: 4 });
  const stretches = (all: readonly Stretch[]) => all.map(({ from, to }) => `${fine(from)} to ${fine(to)}`).join('; ');
  const signed = (mm: number) => `${mm > 0 ? '+' : ''}${exact(mm)}`;
  const under = list.underwrapThread > 0;
  const trimmed = list.trimThread > 0;
  const turned = list.rows.some(({ roll = 0 }) => roll !== 0);
  const heading = [
    'mark',
    'kind',
    `${datumWords(list)} (${unit})`,
    'tape',
    `left over (${unit})`,
    // rings are sold by millimetres everywhere
    'ring (mm)',
    `foot (${unit})`,
    `wrap (${unit})`,
    'turns',
    'thread (m)',
    ...(under ? [`underwrap (${unit})`] : []),
    ...(trimmed ? [`trim band (${unit})`] : []),
    ...(turned ? ['roll (degrees)'] : []),
  ];
  const rows = list.rows.map((row) => [
    row.id,
    kindWords[row.kind],
    `${exact(row.distance)}${list.datum.from === 'ferrule' ? ` toward the ${row.toward}` : ''}`,
    readingText(row.reading, list.division),
    signed(row.left),
    row.ringOuter === undefined ? '' : lengthDigits(row.ringOuter, 'mm', { mmDecimals: 2 }),
    stretches(row.feet),
    stretches(row.wraps),
    row.wraps.map((wrap) => wrap.turns.toFixed(0)).join('; '),
    row.wraps.length === 0 ? '' : (row.wraps.reduce((sum, wrap) => sum + wrap.thread, 0) / 1000).toFixed(2),
    ...(under ? [stretches(row.underwrap ? [row.underwrap] : [])] : []),
    ...(trimmed ? [stretches(row.trim)] : []),
    ...(turned ? [row.roll === undefined ? '' : String(Number(row.roll.toFixed(1)))] : []),
  ]);
  return [heading, ...rows];
}

/** The list as comma-separated values (RFC 4180). */
export function markListCsv(list: MarkList, display?: LengthDisplay): string {
  const cell = (text: string) => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  return markCells(list, display)
    .map((row) => `${row.map(cell).join(',')}\r\n`)
    .join('');
}

/** The list as a table a person can read in a fixed-width face; columns without content are left out. */
export function markListText(list: MarkList, display?: LengthDisplay): string {
  const cells = markCells(list, display);
  const kept = cells[0]!.flatMap((_, column) => (cells.slice(1).some((row) => row[column] !== '') ? [column] : []));
  const widths = kept.map((column) => Math.max(...cells.map((row) => row[column]!.length)));
  return cells
    .map((row) =>
      kept
        .map((column, i) => row[column]!.padEnd(widths[i]!))
        .join('  ')
        .trimEnd(),
    )
    .join('\n');
}
