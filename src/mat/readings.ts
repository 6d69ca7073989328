import { formatLength, type LengthDisplay } from '../plan/lengths/length_text.ts';
import type { MatReadings, Span } from '../plan/shoot.ts';
import { fromMillimetres } from '../plan/lengths/units.ts';
import {
  barLength,
  maximumTiles,
  type PaperName,
  paperSizes,
  rowLength,
  rowsBreadth,
  tagPlace,
  tagSide,
  tagsPerTile,
  tileNumber,
} from './tile.ts';

/** A length that a rule measures on one page. */
export type PrintedField = 'rowAlong' | 'rowAcross' | 'barAlong' | 'barAcross';

/** What is wrong with one reading, as one sentence for the person who took it. */
export interface ReadingProblem {
  field: PrintedField | 'span';
  message: string;
}

/**
 * The printed lengths: which way they run, how long they are drawn, and a rule's standard uncertainty over them, mm. A
 * bar's thin ticks are read to 0.1 mm; a row's edges alike, but over its length the rule's own error joins (class II
 * steel rules are good to 0.3 mm + 0.2 mm per started metre at most, SI 2016/1153, schedule 1I: rarely half of it).
 */
export const printedLengths: Readonly<
  Record<PrintedField, { along: boolean; nominal: number; sigma: number; name: string; between: string }>
> = {
  rowAlong: {
    along: true,
    nominal: rowLength,
    sigma: 0.15,
    name: 'The row of squares',
    between: 'from the outer edge of its first square to the outer edge of its last',
  },
  rowAcross: {
    along: false,
    nominal: rowsBreadth,
    sigma: 0.15,
    name: 'The distance across both rows',
    between: 'from the top edge of the upper row to the bottom edge of the lower one',
  },
  barAlong: {
    along: true,
    nominal: barLength,
    sigma: 0.1,
    name: 'The bar along',
    between: 'between the outer edges of its end ticks',
  },
  barAcross: {
    along: false,
    nominal: barLength,
    sigma: 0.1,
    name: 'The bar across',
    between: 'between the outer edges of its end ticks',
  },
};

const printedFields = Object.keys(printedLengths) as PrintedField[];

/** The print's scale along or across as the page's own lengths give it, undefined where none was measured. */
export function printedScale(readings: MatReadings, along: boolean): number | undefined {
  const field = printedFields.find((f) => printedLengths[f].along === along && readings[f] !== undefined);
  return field && readings[field]! / printedLengths[field].nominal;
}

/**
 * Beyond this no printer's scaling explains a printed length, as a share; 0.2 to 4 % is usual (common practice, no
 * source).
 */
const scaleLimit = 0.06;
/** Along and across differ by no more than this share on one printer (common practice, no source). */
const differenceLimit = 0.015;
/** A joint may gape, or lose this much where both tiles' margins were cut off before they were butted, mm. */
const joint = { widest: 10, mostCutOff: 20 };

/** A blank that ends just with a page, which is no round number of mm wide, needs no further one: share of a page. */
const rounding = 1e-9;

/** How many tiles a blank of this length (mm) needs: 15 mm of paper past either end. */
export const tilesForBlank = (length: number, paper: PaperName): number =>
  Math.min(Math.max(Math.ceil((length + 30) / paperSizes[paper].width - rounding), 1), maximumTiles);

/** The longest span of a mat of this many tiles: the whole top row. */
export const widestSpan = (tiles: number): Pick<Span, 'fromTag' | 'toTag'> => ({
  fromTag: 0,
  toTag: (tiles - 1) * tagsPerTile + 4,
});

/** The mean of the span's readings, mm. */
export const spanLength = ({ length, again = [] }: Span): number =>
  [length, ...again].reduce((sum, v) => sum + v, 0) / (1 + again.length);

/**
 * Standard uncertainty of the tape's own scale over `length` (mm), mm: the limit of error of an EC class II tape, 0.3
 * mm and 0.2 mm for each started metre (SI 2016/1153, schedule 1I, paragraph 2), taken as rectangular.
 */
export const tapeUncertainty = (length: number): number => (0.3 + 0.2 * Math.ceil(length / 1000)) / Math.sqrt(3);

/**
 * Standard uncertainty of reading the span, mm: both ends read to 0.5 mm, or what its readings scatter by where that is
 * more, over the root of their number.
 */
export function spanReadingUncertainty(span: Span): number {
  const readings = [span.length, ...(span.again ?? [])];
  const count = readings.length;
  const mean = spanLength(span);
  const scatter = count > 1 ? Math.sqrt(readings.reduce((sum, v) => sum + (v - mean) ** 2, 0) / (count - 1)) : 0;
  return Math.max((0.5 / Math.sqrt(12)) * Math.SQRT2, scatter) / Math.sqrt(count);
}

/** Standard uncertainty of the span's mean reading, the tape's own scale included, mm. */
export const spanUncertainty = (span: Span): number =>
  Math.hypot(tapeUncertainty(spanLength(span)), spanReadingUncertainty(span));

/**
 * The span (mm) that tiles butted edge to edge would have, printed at this scale along; undefined when the tags are not
 * two tags of one row of the mat. Printing scales the tags' places, not the paper.
 */
export function nominalSpan(
  { fromTag, toTag }: Pick<Span, 'fromTag' | 'toTag'>,
  paper: PaperName,
  scaleAlong = 1,
): number | undefined {
  const from = tagPlace(fromTag);
  const to = tagPlace(toTag);
  if (!from || !to || fromTag === toTag || from.row !== to.row) return undefined;
  const paperLength = (to.tile - from.tile) * paperSizes[paper].width;
  return Math.abs(paperLength + scaleAlong * (to.centre[0] - from.centre[0])) + scaleAlong * tagSide;
}

/**
 * Looks for a wrong unit, a slip in typing and readings that contradict each other, before any photo is measured.
 *
 * @param readings mm
 * @param mat what was printed
 * @param display how the person reads and types lengths
 */
export function readingProblems(
  readings: MatReadings,
  mat: { paper: PaperName; tiles: number },
  display: LengthDisplay = 'mm',
): ReadingProblem[] {
  const problems = printedFields.flatMap((field) => printedProblem(field, readings[field], display) ?? []);
  const [along, across] = [printedScale(readings, true), printedScale(readings, false)];
  if (problems.length === 0 && along !== undefined && across !== undefined) {
    const field = printedFields.find((f) => !printedLengths[f].along && readings[f] !== undefined)!;
    const difference = Math.abs(along - across);
    if (difference > differenceLimit) {
      const message = field.startsWith('bar')
        ? `The two bars differ by ${precise(difference * barLength, display)}, more than a printer makes them differ: measure both again.`
        : `Along and across the print differs by ${(100 * difference).toFixed(1)} %, more than a printer makes them differ: measure both again.`;
      problems.push({ field, message });
    }
  }
  if (readings.span) {
    const message = spanProblem(readings.span, mat, problems.length === 0 ? along : undefined, display);
    if (message !== undefined) problems.push({ field: 'span', message });
  }
  return problems;
}

function printedProblem(
  field: PrintedField,
  value: number | undefined,
  display: LengthDisplay,
): ReadingProblem | undefined {
  if (value === undefined) return undefined;
  const { nominal, name, between } = printedLengths[field];
  const plausible = (mm: number) => Math.abs(mm / nominal - 1) <= scaleLimit;
  if (plausible(value)) return undefined;
  const slip = slipOf(value, plausible, display);
  const reads = `${name} reads ${asTyped(value, display)}`;
  return {
    field,
    message:
      slip !== undefined
        ? `${reads}; ${slip}.`
        : `${reads}, too far from the ${precise(nominal, display)} it was drawn: measure ${between}, or print again at 100 %.`,
  };
}

function spanProblem(
  span: Span,
  mat: { paper: PaperName; tiles: number },
  scaleAlong: number | undefined,
  display: LengthDisplay,
): string | undefined {
  const { fromTag, toTag } = span;
  const length = spanLength(span);
  const nominal = nominalSpan(span, mat.paper, scaleAlong);
  const from = tagPlace(fromTag);
  const to = tagPlace(toTag);
  if (nominal === undefined || !from || !to) {
    return `The span runs from tag ${fromTag} to tag ${toTag}, which are not two tags of one row: name the first and the last tag of one row.`;
  }
  const last = Math.max(from.tile, to.tile);
  if (last >= mat.tiles) {
    const name = from.tile === last ? fromTag : toTag;
    return `The span names tag ${name} on tile ${tileNumber(last)}, but the mat has ${mat.tiles} ${mat.tiles === 1 ? 'tile' : 'tiles'}: name the tag the tape reached.`;
  }
  const joints = Math.abs(to.tile - from.tile);
  const doubt =
    2 * Math.hypot(spanUncertainty(span), scaleDoubt(scaleAlong) * (nominal - joints * paperSizes[mat.paper].width));
  const plausible = (mm: number) =>
    mm >= nominal - joints * joint.mostCutOff - doubt && mm <= nominal + joints * joint.widest + doubt;
  if (plausible(length)) return undefined;
  const reads = `The span reads ${asTyped(length, display)}`;
  const slip = slipOf(length, plausible, display);
  if (slip !== undefined) return `${reads}; ${slip}.`;
  if (joints === 0 && scaleAlong !== undefined) {
    return `${reads}, but by the page's own length the tags are ${precise(nominal, display)} apart, give or take ${precise(doubt, display)}: measure both again.`;
  }
  return `${reads}, but from tag ${fromTag} to tag ${toTag} tiles laid edge to edge make about ${formatLength(nominal, display === 'mm' ? 'mm' : 'in', { mmDecimals: 0, inchDecimals: 1 })}: read the tape again and check the two tags.`;
}

/**
 * Relative standard uncertainty of the print scale: by a bar, or a printer's usual spread where it was not measured.
 */
const scaleDoubt = (scaleAlong: number | undefined): number =>
  scaleAlong === undefined ? 0.02 : printedLengths.barAlong.sigma / barLength;

/** Inches stay decimal here: a 64th is coarser than these readings. */
const precise = (mm: number, display: LengthDisplay): string =>
  formatLength(mm, display === 'mm' ? 'mm' : 'in', { mmDecimals: 1, inchDecimals: 3 });

const asTyped = (mm: number, display: LengthDisplay): string => {
  const unit = display === 'mm' ? 'mm' : 'in';
  return `${Math.round(fromMillimetres(mm, unit) * 1000) / 1000} ${unit}`;
};

const unitNames = [
  { name: 'mm', mm: 1 },
  { name: 'in', mm: 25.4 },
  { name: 'cm', mm: 10 },
  { name: 'm', mm: 1000 },
  { name: 'ft', mm: 304.8 },
] as const;

/** What the person may have meant by a length that cannot be: another unit, or a decimal point one place off. */
function slipOf(value: number, plausible: (mm: number) => boolean, display: LengthDisplay): string | undefined {
  const typedUnit = display === 'mm' ? 'mm' : 'in';
  const typed = fromMillimetres(value, typedUnit);
  const unit = unitNames.find(({ name, mm }) => name !== typedUnit && plausible(typed * mm));
  if (unit) {
    const digits = String(Math.round(typed * 1000) / 1000);
    return `if that was ${digits} ${unit.name}, enter ${precise(typed * unit.mm, display)}`;
  }
  const factor = [0.1, 10, 0.01, 100].find((times) => plausible(value * times));
  return factor === undefined
    ? undefined
    : `if the decimal point has slipped, enter ${precise(value * factor, display)}`;
}
