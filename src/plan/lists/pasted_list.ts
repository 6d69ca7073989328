import { longestRod } from '../files/longest_rod.ts';
import type { Unit } from '../lengths/units.ts';
import type { PositionKind } from '../plan.ts';
import { type CommaUse, hasQuotedCells, hasStrongSeparators } from './cells.ts';
import type { CountedFrom, ListUnit } from './headings.ts';
import { askFrom, askNumbers, type ListChoices, type ListQuestion } from './list_questions.ts';
import { readRows, type RowReading } from './list_rows.ts';

/** How one line of a pasted list was read. Every line of the text has one, in order. */
export type PastedLine = { line: number; text: string } & (
  | { outcome: 'empty' }
  /** words alone; `unit` is set where they name the unit of the distances that follow */
  | { outcome: 'heading'; unit?: ListUnit }
  | PastedPlace
  | { outcome: 'problem'; why: string }
);

/** A place read from a line: mm from the rod's tip. `note` is what else stood on the line and was left aside. */
export interface PastedPlace {
  outcome: 'position';
  mm: number;
  unit: ListUnit;
  label?: string;
  note?: string;
  kind?: PositionKind;
  /** set where the line did not say the distance from the tip itself: what it said (mm) and how that was counted */
  counted?: { written: number; as: 'from-butt' | 'from-ferrule' | 'gap' };
}

export interface PastedList {
  lines: PastedLine[];
  /** what must be answered before the list can be used, since it can be read in more than one way */
  questions: ListQuestion[];
}

/** What is known beside the list; mm from the rod's tip. */
export interface ListContext {
  /** meant where the list names none */
  unit: Unit;
  /** the butt end of the blank, once its length is known */
  end?: number;
  /** the ferrule that a section's distances may be counted from */
  ferrule?: number;
  /** answers to the questions of an earlier reading */
  choices?: ListChoices;
}

/**
 * Reads what people have: one distance a line, columns of a spreadsheet with or without headings, `1) 4 1/8`, `G3 11
 * 7/16in`, gaps instead of distances, distances from the butt; millimetres, centimetres, inches, feet; decimal commas
 * and points; with the builder's own labels. The list is read as a whole: what one line leaves open another may settle.
 * Nothing is guessed: a line that can be read in two ways is a problem that says which, a list that can be, a question.
 * Lengths in mm from the rod's tip. Never throws.
 */
export function readPastedList(text: string, context: ListContext): PastedList {
  const written = text.split(/\r\n|\r|\n/);
  const rows = written.map((row) => (row.length > longestLine ? '' : row));
  const { choices = {} } = context;
  const asked: ListQuestion[] = [];
  const comma = choices.comma ?? commaUse(rows, context, asked);
  const readings = readRows(rows, comma, context.unit, choices.comma !== undefined);
  const places = readings.flatMap((reading) => (reading.outcome === 'place' ? [reading.place] : []));
  const from = choices.from ?? askFrom(places, asked);
  const numbers = choices.numbers ?? askNumbers(places, context.end, asked);
  const lines = countedFromTip(rows, readings, { from, gaps: numbers === 'gaps' }, context);
  return {
    lines: lines.map((line, k) => {
      if (rows[k] === written[k]) return line;
      return {
        line: line.line,
        text: written[k]!,
        outcome: 'problem',
        why: 'is longer than any line of a list: keep the distance',
      };
    }),
    questions: asked,
  };
}

/** No line of a list is longer, characters; a whole file pasted as one line is. */
const longestLine = 500;

/** Both uses of the comma are tried on the whole list; a question where both can be and differ. */
function commaUse(rows: readonly string[], { unit }: ListContext, asked: ListQuestion[]): CommaUse {
  if (!rows.some((row) => row.includes(',')) || rows.some(hasQuotedCells)) return 'separator';
  // where tabs or semicolons part the columns, a comma does not
  if (rows.some(hasStrongSeparators)) return 'decimal';
  const written = rows.filter((row) => row.trim() !== '');
  // a line alone is no numbered list, so 1,250.5 is a thousand
  if (written.length === 1 && /^\s*\d{1,3}(?:,\d{3})+\.\d+\s*(?:\p{L}|$)/u.test(written[0]!)) return 'decimal';
  const read = (use: CommaUse) => readRows(rows, use, unit, false);
  const [apart, decimal] = [read('separator'), read('decimal')];
  const faults = (all: readonly RowReading[]) => all.filter(({ outcome }) => outcome === 'problem').length;
  if (faults(apart) !== faults(decimal)) return faults(apart) < faults(decimal) ? 'separator' : 'decimal';
  const lengths = (all: readonly RowReading[]) => all.map((one) => (one.outcome === 'place' ? one.place.mm : 0));
  const [a, b] = [lengths(apart), lengths(decimal)];
  const differs = a.findIndex((mm, i) => Math.abs(mm - b[i]!) > 1e-9);
  if (differs < 0 || faults(apart) > 0) return 'separator';
  asked.push({
    about: 'comma',
    text: `Line ${differs + 1}, "${rows[differs]!.trim().slice(0, 40)}": is the comma a decimal mark, or does it part columns?`,
    answers: [
      { value: 'decimal', text: 'A decimal mark' },
      { value: 'separator', text: 'It parts columns' },
    ],
  });
  return 'separator';
}

interface Counting {
  from: CountedFrom;
  gaps: boolean;
}

function countedFromTip(
  rows: readonly string[],
  readings: readonly RowReading[],
  list: Counting,
  context: ListContext,
): PastedLine[] {
  let sum = 0;
  return readings.map((reading, index): PastedLine => {
    const line = { line: index + 1, text: rows[index]! };
    if (reading.outcome !== 'place') return { ...line, ...reading };
    const { mm: written, from: own, toward, gap, ...rest } = reading.place;
    const gaps = list.gaps || gap === true;
    sum += written;
    const away = gaps ? sum : written;
    const from = own ?? list.from;
    const mm = fromTip(away, from, toward, context);
    if (typeof mm === 'string') return { ...line, outcome: 'problem', why: mm };
    const counted = gaps
      ? ({ written, as: 'gap' } as const)
      : from === 'tip'
        ? undefined
        : ({ written, as: from === 'butt' ? 'from-butt' : 'from-ferrule' } as const);
    return { ...line, outcome: 'position', mm, ...rest, ...(counted && { counted }) };
  });
}

/** A distance as mm from the tip, or why it cannot be one. */
function fromTip(
  away: number,
  from: CountedFrom,
  toward: 'tip' | 'butt' | undefined,
  { end, ferrule }: ListContext,
): number | string {
  if (!(away <= longestRod)) return 'the distance is longer than any rod: check its unit';
  if (from === 'tip') return away;
  if (from === 'ferrule') {
    if (ferrule === undefined) return 'the distance is counted from a ferrule: write it from the tip';
    const mm = toward === 'tip' ? ferrule - away : ferrule + away;
    return mm >= 0 ? mm : 'the distance runs past the tip: check it and the place of the ferrule';
  }
  if (end === undefined)
    return "the distance is counted from the butt: give the blank's length first, so that it can be turned round";
  return end - away >= 0 ? end - away : "the distance from the butt runs past the tip: check it and the blank's length";
}
