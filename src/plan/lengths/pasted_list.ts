import { plainSigns, readLength } from './length_text.ts';
import type { Unit } from './units.ts';

/** How one line of a pasted list was read. Every line of the text has one, in order. */
export type PastedLine = { line: number; text: string } & (
  | { outcome: 'empty' }
  /** no digit in it; `unit` is set where it names the unit of what follows */
  | { outcome: 'heading'; unit?: Unit | 'cm' }
  /** `note` is what else stood on the line and was left aside */
  | { outcome: 'position'; mm: number; unit: Unit | 'cm'; label?: string; note?: string }
  | { outcome: 'problem'; why: string }
);

const number = String.raw`(?:\d+\s*[ -]\s*)?\d+\s*\/\s*\d+|\d+(?:[.,]\d+)?|[.,]\d+`;
const unitWord = String.raw`millimet(?:re|er)s?|centimet(?:re|er)s?|inch(?:es)?|mm\.?|cm\.?|in\.?|"`;
const lengths = new RegExp(
  String.raw`(?<![\d.,/])(${number})(?!\d|[.,]\d|\/\d)(\s*(?:${unitWord})(?![\p{L}\d]))?`,
  'giu',
);
const otherUnit = /^\s*('|ft\b|feet\b|foot\b|yds?\b|yards?\b|m\b|met(?:re|er)s?\b|km\b)/i;
/** Words after which a whole number counts or sizes something and is no distance. */
const countingWord = /(?:#|\b(?:no|nr|num|number|size|guide|ring|pos|position|g)\.?)\s*$/i;

interface Candidate {
  start: number;
  end: number;
  mm: number;
  unit: Unit | 'cm';
  unitWritten: boolean;
  fraction: boolean;
  digits: string;
}

/**
 * Reads what people have: one distance a line, spreadsheet cells, `1) 4 1/8`, `G3 11 7/16in`, mixed fractions,
 * millimetres, centimetres, decimal commas, with the builder's own labels. A heading such as `Distance (cm)` sets the unit
 * for what follows; `unit` is meant until then. Nothing is guessed: a line that can be read in two ways is a problem that
 * says which. Lengths in mm. Never throws.
 */
export function readPastedList(text: string, unit: Unit): PastedLine[] {
  let meant: Unit | 'cm' = unit;
  let column: number | undefined;
  let previousNumber = 0;
  let headedCells = 1;
  return text.split(/\r\n|\r|\n/).map((raw, index): PastedLine => {
    const line = { line: index + 1, text: raw };
    const cells = cellsOf(raw, headedCells).map(plainSigns);
    if (cells.every((cell) => cell === '')) return { ...line, outcome: 'empty' };
    if (!/\d/.test(cells.join(' '))) {
      const named = headingUnit(cells.join(' '));
      if (named) meant = named;
      const found = cells.findIndex((cell) => /distance|from (?:the )?tip|position|\bat\b/i.test(cell));
      if (cells.length > 1 && found >= 0) {
        column = found;
        // tabs above and a comma below: that comma is a decimal one
        headedCells = /[\t;|]/.test(raw) ? 1 : cells.length;
      }
      return { ...line, outcome: 'heading', ...(named && { unit: named }) };
    }
    const read = cells.length > 1 ? readCells(cells, meant, column) : readLine(cells[0]!, meant, previousNumber);
    if ('why' in read) return { ...line, outcome: 'problem', why: read.why };
    previousNumber = /^\d+$/.test(read.label ?? '') ? Number(read.label) : previousNumber + 1;
    return { ...line, outcome: 'position', ...read };
  });
}

/**
 * Cells of a row. A comma may be a decimal one: it parts cells after a label, where points mark the decimals, and where a
 * heading had as many cells.
 */
function cellsOf(raw: string, headedCells: number): string[] {
  if (/[\t;|]/.test(raw)) return raw.split(/[\t;|]/);
  const parts = raw.split(',');
  if (parts.length < 2) return [raw];
  if (parts.length === headedCells || !/\d/.test(raw)) return parts;
  const label = parts[0]!.trim();
  if (!/^\S*\p{L}\S*$/u.test(label) && !(/^\d{1,3}$/.test(label) && /\d\.\d/.test(raw))) return [raw];
  const rest = parts.slice(1).join(',');
  return [label, ...(/\d\.\d/.test(rest) ? parts.slice(1) : [rest])];
}

function headingUnit(text: string): Unit | 'cm' | undefined {
  const named = [
    /\b(?:mm|millimet(?:re|er)s?)\b/i.test(text) && ('mm' as const),
    /\b(?:cm|centimet(?:re|er)s?)\b/i.test(text) && ('cm' as const),
    // "in" alone is a word as well as a unit
    /\binch(?:es)?\b|\(\s*(?:in\.?|")\s*\)|\bin\.?$/i.test(text) && ('in' as const),
  ].filter((found) => found !== false);
  return named.length === 1 ? named[0] : undefined;
}

type Read = { mm: number; unit: Unit | 'cm'; label?: string; note?: string } | { why: string };

const cleanLabel = (text: string): string =>
  text
    .replace(/^[\s•*·.:,-]+/, '')
    .replace(/(?:\bfrom (?:the )?tip\b|\bat\b)\s*$/i, '')
    .replace(/[\s.:,)\]=-]+$/, '')
    .replace(/^[([]/, '')
    .trim();

const withWords = (read: { mm: number; unit: Unit | 'cm' }, label: string, note: string): Read => ({
  ...read,
  ...(label !== '' && { label }),
  ...(note !== '' && { note }),
});

/** One row of a spreadsheet: the distance stands in its headed column, or in the only cell that is a length. */
function readCells(cells: readonly string[], unit: Unit | 'cm', column: number | undefined): Read {
  const readings = cells.map((cell) => readLength(cell, unit));
  const filled = cells.flatMap((cell, k) => (cell === '' ? [] : [k]));
  const able = filled.filter((k) => readings[k]!.ok);
  let chosen = column !== undefined && able.includes(column) ? column : undefined;
  if (column !== undefined && chosen === undefined) {
    return {
      why: `the cell under the heading of distances, "${cells[column] ?? ''}", is not a length: write it as 5 3/8 or 136.5`,
    };
  }
  if (chosen === undefined) {
    const [first, second] = able;
    const counter = first === filled[0] && /^\d{1,3}$/.test(cells[first ?? 0]!) && able.length > 1;
    if (able.length === 1) chosen = first;
    else if (counter && able.length === 2) chosen = second;
  }
  if (chosen === undefined) {
    return filled.length === 1
      ? readLine(cells[filled[0]!]!, unit, 0)
      : able.length === 0
        ? { why: 'no cell is a length: write it as 5 3/8 or 136.5' }
        : { why: `${able.length} cells could be the distance: name its column "distance" in a line above` };
  }
  const reading = readings[chosen]!;
  if (!reading.ok) return { why: reading.why };
  if (reading.mm < 0) return { why: 'the distance is below zero: distances run from the tip' };
  const label = cells
    .slice(0, chosen)
    .filter((cell) => cell !== '')
    .join(' ');
  const note = cells
    .slice(chosen + 1)
    .filter((cell) => cell !== '')
    .join(' ');
  return withWords({ mm: reading.mm, unit: reading.unit }, cleanLabel(label), note);
}

/** One line without cells: numbers are sorted into the distance, a label before it and a note after it. */
function readLine(text: string, unit: Unit | 'cm', previousNumber: number): Read {
  const whole = readLength(text, unit);
  if (whole.ok && !text.startsWith('-')) return { mm: whole.mm, unit: whole.unit };
  if (/^-\s*[\d.,]/.test(text) && !text.startsWith('- ')) {
    return { why: 'the distance is below zero: distances run from the tip' };
  }
  if (!whole.ok && /^[\d.,\s/-]+$/.test(text) && /could be/.test(whole.why)) return { why: whole.why };

  const candidates: Candidate[] = [];
  let fault: string | undefined;
  for (const match of text.matchAll(lengths)) {
    const [matched, digits, suffix] = match as unknown as [string, string, string | undefined];
    const start = match.index;
    const end = start + matched.length;
    const before = text.slice(0, start);
    const after = text.slice(end);
    if (/\p{L}$/u.test(before) && !/^\s*\//.test(after)) {
      // a letter in front makes it part of a label: G3, but G3 1/8 could be either
      if (!digits.includes('/')) continue;
      const [head, ...rest] = digits.split(/[ -]+/);
      const reading = readLength(`${rest.join(' ')}${suffix ?? ''}`, unit);
      if (rest.length === 0 || !reading.ok) continue;
      return {
        why: `could be "${before}${head}" at ${rest.join(' ')} or "${before.trim()}" at ${digits}: put a colon after the label`,
      };
    }
    if (otherUnit.test(after) && suffix === undefined)
      return { why: 'is in a unit that is not read here: write inches, mm or cm' };
    if (suffix === undefined && /^\p{L}/u.test(after)) {
      fault ??= `"${matched}${/^\p{L}+/u.exec(after)![0]}" is not a length: write it as 5 3/8 or 136.5`;
      continue;
    }
    if (/\(\s*[^)]*$/.test(before) && suffix === undefined) continue;
    const reading = readLength(matched, unit);
    if (!reading.ok) {
      fault ??= reading.why;
      continue;
    }
    candidates.push({
      start,
      end,
      mm: reading.mm,
      unit: reading.unit,
      unitWritten: reading.unitWritten,
      fraction: digits.includes('/'),
      digits,
    });
  }
  if (fault) return { why: fault };
  return choose(text, candidates, previousNumber);
}

function choose(text: string, all: readonly Candidate[], previousNumber: number): Read {
  const written = all.filter((candidate) => candidate.unitWritten);
  const counts = (candidate: Candidate) => countingWord.test(text.slice(0, candidate.start)) && !candidate.unitWritten;
  let chosen: Candidate | undefined;
  if (written.length === 1) chosen = written[0];
  else if (written.length > 1) return { why: `${written.length} lengths stand on this line: keep one` };
  else {
    const open = all.filter((candidate) => !counts(candidate));
    const [first, second] = open;
    const mixed = all.find(
      (candidate) => counts(candidate) && /^\d+\s*[ -]/.test(candidate.digits) && candidate.fraction,
    );
    if (mixed) {
      const label = text.slice(0, mixed.start).trim();
      const [head, rest] = mixed.digits.split(/[ -]+/) as [string, string];
      return {
        why: `could be "${label} ${head}" at ${rest} or "${label}" at ${mixed.digits}: put a colon after the label`,
      };
    }
    if (open.length === 1) chosen = first;
    else if (open.length === 2 && first && second) {
      const between = text.slice(first.end, second.start);
      const leads = /^\W*$/.test(text.slice(0, first.start)) && /^\d{1,3}$/.test(first.digits);
      const marked = /^\s*[).\]:,=-]/.test(between);
      const counted = Number(first.digits) === previousNumber + 1;
      if (leads && (marked || counted || !/^\d{3}$/.test(second.digits))) chosen = second;
      else if (leads) {
        return {
          why: `could be ${first.digits}${second.digits} or number ${first.digits} at ${second.digits}: put a colon after the number`,
        };
      }
    }
    if (!chosen) {
      return open.length === 0
        ? { why: 'no distance is on this line: write it as 5 3/8 or 136.5' }
        : { why: `${open.length} numbers stand on this line: keep the distance, or put a colon after the label` };
    }
  }
  const label = cleanLabel(text.slice(0, chosen!.start));
  if (/\d\s*[,/]\s*\d/.test(label)) return { why: 'more than one number stands on this line: keep the distance' };
  const note = text
    .slice(chosen!.end)
    .replace(/^[\s,;:)]*(?:from (?:the )?tip\b)?[\s,;:]*/i, '')
    .trim();
  return withWords({ mm: chosen!.mm, unit: chosen!.unit }, label, note);
}
