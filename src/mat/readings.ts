import { formatLength, type LengthDisplay } from '../plan/lengths/length_text.ts';
import type { MatReadings } from '../plan/shoot.ts';
import { fromMillimetres } from '../plan/lengths/units.ts';
import {
  barLength,
  maximumTiles,
  type PaperName,
  paperSizes,
  tagPlace,
  tagSide,
  tagsPerTile,
  tileNumber,
} from './tile.ts';

/** What is wrong with one reading, as one sentence for the person who took it. */
export interface ReadingProblem {
  field: 'barAlong' | 'barAcross' | 'span';
  message: string;
}

type Span = NonNullable<MatReadings['span']>;

/** Beyond this no printer's scaling explains a bar, mm off 100; 0.2 to 4 % is usual (common practice, no source). */
const barLimit = 6;
/** Along and across differ by no more than this on one printer, mm in 100 (common practice, no source). */
const barDifferenceLimit = 1.5;
/** A joint may gape, or lose this much where both tiles' margins were cut off before they were butted, mm. */
const joint = { widest: 10, mostCutOff: 20 };

/** How many tiles a blank of this length (mm) needs: 15 mm of paper past either end. */
export const tilesForBlank = (length: number, paper: PaperName): number =>
  Math.min(Math.max(Math.ceil((length + 30) / paperSizes[paper].width), 1), maximumTiles);

/** The longest span of a mat of this many tiles: the whole top row. */
export const widestSpan = (tiles: number): Pick<Span, 'fromTag' | 'toTag'> => ({
  fromTag: 0,
  toTag: (tiles - 1) * tagsPerTile + 4,
});

/**
 * Standard uncertainty of a rule's reading of a bar (mm): read to 0.1 mm.
 */
export const barUncertainty = 0.1;

/**
 * Standard uncertainty of a tape's reading over `length` (mm), mm: the limit of error of an EC class II tape, 0.3 mm and
 * 0.2 mm for each started metre (SI 2016/1153, schedule 1I, paragraph 2), taken as rectangular, and both ends read to
 * 0.5 mm.
 */
export function spanUncertainty(length: number): number {
  const limit = 0.3 + 0.2 * Math.ceil(length / 1000);
  return Math.hypot(limit / Math.sqrt(3), (0.5 / Math.sqrt(12)) * Math.SQRT2);
}

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
  const { barAlong, barAcross, span } = readings;
  const problems = [
    barAlong !== undefined && barProblem('barAlong', barAlong, display),
    barAcross !== undefined && barProblem('barAcross', barAcross, display),
  ].filter((problem) => typeof problem === 'object');
  if (problems.length === 0 && barAlong !== undefined && barAcross !== undefined) {
    const difference = Math.abs(barAlong - barAcross);
    if (difference > barDifferenceLimit) {
      const words = precise(difference, display);
      problems.push({
        field: 'barAcross',
        message: `The two bars differ by ${words}, more than a printer makes them differ: measure both again.`,
      });
    }
  }
  if (span) {
    const scaleAlong = barAlong !== undefined && problems.length === 0 ? barAlong / barLength : undefined;
    const message = spanProblem(span, mat, scaleAlong, display);
    if (message !== undefined) problems.push({ field: 'span', message });
  }
  return problems;
}

function barProblem(
  field: 'barAlong' | 'barAcross',
  value: number,
  display: LengthDisplay,
): ReadingProblem | undefined {
  const plausible = (mm: number) => Math.abs(mm - barLength) <= barLimit;
  if (plausible(value)) return undefined;
  const name = field === 'barAlong' ? 'The bar along' : 'The bar across';
  const slip = slipOf(value, plausible, display);
  const reads = `${name} reads ${asTyped(value, display)}`;
  return {
    field,
    message:
      slip !== undefined
        ? `${reads}; ${slip}.`
        : `${reads}, too far from the ${precise(barLength, display)} it was drawn: measure between the outer edges of its end ticks, or print again at 100 %.`,
  };
}

function spanProblem(
  span: Span,
  mat: { paper: PaperName; tiles: number },
  scaleAlong: number | undefined,
  display: LengthDisplay,
): string | undefined {
  const { fromTag, toTag, length } = span;
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
    2 * Math.hypot(spanUncertainty(length), scaleDoubt(scaleAlong) * (nominal - joints * paperSizes[mat.paper].width));
  const plausible = (mm: number) =>
    mm >= nominal - joints * joint.mostCutOff - doubt && mm <= nominal + joints * joint.widest + doubt;
  if (plausible(length)) return undefined;
  const reads = `The span reads ${asTyped(length, display)}`;
  const slip = slipOf(length, plausible, display);
  if (slip !== undefined) return `${reads}; ${slip}.`;
  if (joints === 0 && scaleAlong !== undefined) {
    return `${reads}, but by the bar along the tags are ${precise(nominal, display)} apart, give or take ${precise(doubt, display)}: measure both again.`;
  }
  return `${reads}, but from tag ${fromTag} to tag ${toTag} tiles laid edge to edge make about ${formatLength(nominal, display === 'mm' ? 'mm' : 'in', { mmDecimals: 0, inchDecimals: 1 })}: read the tape again and check the two tags.`;
}

/** Relative standard uncertainty of the print scale: by the bar, or a printer's usual spread where it was not measured. */
const scaleDoubt = (scaleAlong: number | undefined): number =>
  scaleAlong === undefined ? 0.02 : barUncertainty / barLength;

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
