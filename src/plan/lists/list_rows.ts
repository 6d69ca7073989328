import { readLength, shortened } from '../lengths/length_text.ts';
import { plainSigns } from '../lengths/plain_signs.ts';
import type { PositionKind } from '../plan.ts';
import { cellsOf, type CommaUse, hasStrongSeparators, spacedCells, spacedColumns } from './cells.ts';
import {
  cleanLabel,
  type ReadPlace,
  readFreeLine,
  type Surroundings,
  thousandDoubt,
  type WrittenPlace,
} from './free_line.ts';
import {
  type Column,
  columnOf,
  type CountedFrom,
  countedFrom,
  distanceColumnOf,
  type ListUnit,
  readHeading,
} from './headings.ts';
import { distanceColumn, hasFigures, isLabel } from './list_columns.ts';

/** A place as its row says it. */
export interface RowPlace extends WrittenPlace {
  kind?: PositionKind;
  /** the row gives the gap before the place, not the distance */
  gap?: true;
  /** which way a distance from a ferrule runs */
  toward?: 'tip' | 'butt';
}

export type RowReading =
  | { outcome: 'empty' }
  | { outcome: 'heading'; unit?: ListUnit }
  | { outcome: 'place'; place: RowPlace }
  | { outcome: 'problem'; why: string };

/** What the headings above a row say. */
interface Standing {
  unit: ListUnit;
  from?: CountedFrom;
  gaps?: boolean;
  columns?: Column[];
  /** where columns laid out by spaces begin */
  starts?: number[];
  /** the columns were headed by words with single spaces */
  inWords?: boolean;
}
type Sorted =
  | { kind: 'empty' | 'heading'; unit?: ListUnit }
  | { kind: 'row'; raw: string; cells: string[]; standing: Standing };

/** Reads every row for one use of the comma; `sure`: the builder has said so. */
export function readRows(rows: readonly string[], comma: CommaUse, unit: ListUnit, sure: boolean): RowReading[] {
  const sorted = sortRows(rows, comma, unit);
  const text = rows.join('\n');
  const dotIsDecimal = /(?<![\d.])\d+\.\d{1,2}(?!\d)|\.\d{4}|\d{2}\.\d{3}(?!\d)|(?<!\d)0\.\d/.test(text);
  const commaIsDecimal = sure || /^\s*(?:\S*\p{L}\S*\s+)?\d+,\d{1,2}\s*$/mu.test(text);
  const columns = columnsWithoutHeading(sorted);
  const numbered = runningNumbers(sorted);
  let previous = 0;
  return sorted.map((row): RowReading => {
    if (row.kind !== 'row') return { outcome: row.kind, ...(row.unit && { unit: row.unit }) };
    const around = { unit: row.standing.unit, nextNumber: previous + 1, numbered, dotIsDecimal };
    const read = readRow(row, around, columns, comma === 'decimal' && !commaIsDecimal);
    if ('why' in read) return { outcome: 'problem', why: read.why };
    previous = /^\d+$/.test(read.label ?? '') ? Number(read.label) : previous + 1;
    return { outcome: 'place', place: { ...read, ...said(row, read) } };
  });
}

/** What headings and the whole row say of a place that its own cell leaves open. */
function said({ raw, standing }: Sorted & { kind: 'row' }, read: RowPlace): Partial<RowPlace> {
  const from = read.from ?? countedFrom(plainSigns(raw)) ?? standing.from;
  return { ...(from && { from }), ...(standing.gaps && { gap: true as const }) };
}

function sortRows(rows: readonly string[], comma: CommaUse, unit: ListUnit): Sorted[] {
  let standing: Standing = { unit };
  return rows.map((raw): Sorted => {
    const plain = plainSigns(raw);
    if (!/[\p{L}\p{N}\ufffd]/u.test(plain)) return { kind: 'empty' };
    if (!/[\p{N}\ufffd]/u.test(plain)) {
      const starts = spacedColumns(raw);
      const cells = starts ? spacedCells(raw, starts)! : cellsOf(raw, 'separator');
      const words =
        cells.length === 1 ? plain.replace(/\([^)]*\)/g, (inside) => inside.replaceAll(' ', '')).split(' ') : [];
      const inWords = words.length > 1 && words.every((word) => columnOf(word).role !== 'other');
      const heading = inWords
        ? readHeading(words, true)
        : readHeading(cells, starts !== undefined || hasStrongSeparators(raw));
      standing = { ...standing, ...heading };
      if (heading.columns && !heading.gaps) delete standing.gaps;
      if (heading.columns) {
        standing = { ...standing, inWords };
        if (starts) standing.starts = starts;
        else delete standing.starts;
      }
      return { kind: 'heading', ...(heading.unit && { unit: heading.unit }) };
    }
    return { kind: 'row', raw, cells: cellsUnder(raw, comma, standing), standing };
  });
}

/**
 * A row's cells as the heading above it has them: by spaces where that was laid out so, or was words with single
 * spaces. A fraction or a thousand with a space in it would fall apart between words, so such rows are left whole.
 */
function cellsUnder(raw: string, comma: CommaUse, { starts, columns, inWords }: Standing): string[] {
  const cells = (starts ? (spacedCells(raw, starts) ?? [raw.trim()]) : cellsOf(raw, comma)).map(plainSigns);
  if (cells.length > 1 || !columns || !inWords || /[/"']|(?<!\S)\d{1,3} \d{3}(?!\d)/.test(cells[0]!)) return cells;
  const words = cells[0]!.split(' ');
  const unitApart = words.some((word) => /^(?:mm|cm|in|inch|inches|ft|feet)\.?$/i.test(word));
  return words.length === columns.length && !unitApart ? words : cells;
}

/**
 * `G1 92 6`: columns by single spaces, once every row has as many words, all but the first pure figures, and one column
 * can be told.
 */
function splitBareWords(rows: (Sorted & { kind: 'row' })[]): void {
  if (rows.some(({ cells }) => cells.length > 1)) return;
  const split = rows.map(({ cells }) => cells[0]!.split(' '));
  const count = split[0]?.length ?? 0;
  const alike = split.every(
    ([first, ...rest]) =>
      rest.length + 1 === count &&
      (isLabel(first!) || /^\d+$/.test(first!)) &&
      rest.every((word) => /^\d+(?:[.,]\d+)?$/.test(word)),
  );
  if (rows.length < 3 || count < 3 || !alike) return;
  if (typeof distanceColumn(split, rows[0]!.standing.unit) !== 'number') return;
  for (const [i, row] of rows.entries()) row.cells = split[i]!;
}

/**
 * The column of distances for rows of cells without headings, by the number of cells; rows of bare words with spaces
 * too.
 */
function columnsWithoutHeading(sorted: Sorted[]): Map<number, number | { why: string }> {
  const found = new Map<number, number | { why: string }>();
  const open = sorted.flatMap((row) => (row.kind === 'row' && !row.standing.columns ? [row] : []));
  splitBareWords(open);
  const counts = new Set(open.map(({ cells }) => cells.length));
  for (const count of counts) {
    if (count === 1) continue;
    const rows = open.filter(({ cells }) => cells.length === count);
    found.set(
      count,
      distanceColumn(
        rows.map(({ cells }) => cells),
        rows[0]!.standing.unit,
      ),
    );
  }
  return found;
}

/**
 * How many lines begin with the running number they would have, parted by a space or dash from what cannot be the rest
 * of a thousand.
 */
function runningNumbers(sorted: readonly Sorted[]): number {
  let place = 0;
  return sorted.filter((row) => {
    if (row.kind !== 'row') return false;
    place++;
    const parts = /^(\d{1,3}) (?:- )?(.+)$/.exec(row.cells[0] ?? '');
    return row.cells.length === 1 && Number(parts?.[1]) === place && !/^(?:\d{3}(?!\d)|[.,/])/.test(parts![2]!);
  }).length;
}

function readRow(
  { cells, standing, raw }: Sorted & { kind: 'row' },
  around: Surroundings,
  columns: ReadonlyMap<number, number | { why: string }>,
  commaDoubtful: boolean,
): RowPlace | { why: string } {
  if (cells.length === 1) return readOneCell(cells[0]!, around, commaDoubtful && standing.columns?.length !== 2);
  if (standing.columns) return readHeaded(cells, standing.columns, around);
  if (cells.some((cell) => cell.includes('\ufffd'))) return readFreeLine(raw, around);
  const figured = cells.flatMap((cell, k) => (hasFigures(cell) ? [k] : []));
  if (figured.length === 0) return { why: 'no cell is a length: write it as 5 3/8 or 136.5' };
  const column = figured.length === 1 ? figured[0]! : columns.get(cells.length)!;
  if (typeof column === 'object') return column;
  const read = readFreeLine(cells[column]!, { ...around, nextNumber: Number.NaN });
  if ('why' in read) return read;
  if (/^0\d/.test(cells[column]!))
    return { why: `"${cells[column]}" begins with a nought: it may be the end of a longer number` };
  return withCells(read, cells.slice(0, column), cells.slice(column + 1));
}

/** `G4,445,5`: the comma after a label parts it, and the other is a decimal one only where the list shows that. */
function readOneCell(cell: string, around: Surroundings, commaDoubtful: boolean): ReadPlace {
  const parts = /^(\S*\p{L}\S*?),\s*(?=[\d.])(.*)$/u.exec(cell);
  if (!parts) return readFreeLine(cell, around);
  const [, label, rest] = parts as unknown as [string, string, string];
  if (rest.includes(',') && commaDoubtful)
    return {
      why: `"${shortened(rest)}" could be one number or two columns: name the columns in a line above, such as Guide, Distance, Ring`,
    };
  const read = readFreeLine(rest, { ...around, nextNumber: Number.NaN });
  return 'why' in read || read.label !== undefined ? read : { ...read, label: cleanLabel(label) };
}

/** A place with the words of the cells before and after it. */
function withCells(read: WrittenPlace, before: readonly string[], after: readonly string[]): WrittenPlace {
  const label =
    cleanLabel(before.filter((cell) => cell !== '' && (isLabel(cell) || /^\d+$/.test(cell))).join(' ')) || read.label;
  const note = [read.note ?? '', ...after].filter((cell) => cell !== '').join(' ');
  return {
    mm: read.mm,
    unit: read.unit,
    ...(label && { label }),
    ...(note && { note }),
    ...(read.from && { from: read.from }),
  };
}

/** A row under headings: each cell is what its column says. */
function readHeaded(
  cells: readonly string[],
  columns: readonly Column[],
  around: Surroundings,
): RowPlace | { why: string } {
  if (cells.length > columns.length && cells.slice(columns.length).some((cell) => /\p{N}/u.test(cell))) {
    return {
      why: `${cells.length} cells stand under ${columns.length} headings: give each column its own, or take a decimal comma out`,
    };
  }
  const measured = columns.flatMap(({ role }, k) => (role === 'distance' ? [k] : []));
  const at = distanceColumnOf(columns);
  const read = readDistanceCell(cells[at] ?? '', columns[at]!, around);
  if ('why' in read) return read;
  for (const other of measured) {
    if (other === at || (cells[other] ?? '') === '' || columns[other]!.from !== columns[at]!.from) continue;
    const again = readDistanceCell(cells[other]!, columns[other]!, around);
    if (!('why' in again) && Math.abs(again.mm - read.mm) > 0.8) {
      return { why: `${cells[at]} and ${cells[other]} are not the same distance: keep the right column` };
    }
  }
  const label = columns.findIndex(({ role }) => role === 'label');
  const kind = kindIn(cells[columns.findIndex(({ role }) => role === 'kind')] ?? '');
  const labels = label >= 0 ? [cells[label] ?? ''] : cells.slice(0, at).filter((_, k) => columns[k]!.role === 'other');
  const notes = cells.filter(
    (_, k) => k !== at && k !== label && columns[k]?.role !== 'kind' && (label >= 0 || k > at),
  );
  const name = cleanLabel(labels.filter((cell) => cell !== '').join(' '));
  const note = notes.filter((cell) => cell !== '').join(' ');
  return { ...read, ...(name && { label: name }), ...(note && { note }), ...(kind && { kind }) };
}

function readDistanceCell(cell: string, column: Column, around: Surroundings): RowPlace | { why: string } {
  const unit = column.unit ?? around.unit;
  const toward = /\s+toward the (tip|butt)$/i.exec(cell)?.[1]?.toLowerCase() as 'tip' | 'butt' | undefined;
  const own = countedFrom(cell);
  const digits = cell.replace(/\s+toward the (?:tip|butt)$|\s*from (?:the )?(?:tip|butt)(?: end)?$/iu, '');
  const reading = readLength(digits, unit);
  if (!reading.ok) {
    const shown = cell === '' ? 'is empty' : `, "${shortened(cell)}", is not a length`;
    return {
      why: `the cell under the heading of distances${cell === '' ? ' ' : ''}${shown}: write it as 5 3/8 or 136.5`,
    };
  }
  if (reading.mm < 0) return { why: 'the distance is below zero: distances run from the tip' };
  const doubt = thousandDoubt(digits, reading.unit, around);
  if (doubt) return doubt;
  return { mm: reading.mm, unit: reading.unit, ...(toward && { toward }), ...(own && { from: own }) };
}

/** What a cell under a heading of kinds says a place is. */
function kindIn(cell: string): PositionKind | undefined {
  if (/keeper/i.test(cell)) return 'hook-keeper';
  if (/ferrule/i.test(cell)) return 'ferrule-wrap';
  if (/tip\s*-?\s*wrap/i.test(cell)) return 'tip-wrap';
  return /guide/i.test(cell) ? 'guide' : undefined;
}
