import { readLength } from '../lengths/length_text.ts';
import type { ListUnit } from './headings.ts';

/** A ring larger than this is no ring, mm. */
const largestRing = 60;

/** True for a cell that names a place: words alone, or one that counts with its number, `G3`, `Guide 12`, `#4`. */
export const isLabel = (cell: string): boolean =>
  /^(?:\p{L}[\p{L}\s.'-]*|\p{L}{1,3}\d{1,3}|(?:guide|ring|no|nr|number|pos|position|führung|anneau|anillo)\.? ?\d{1,3}|(?:#|№|n°) ?\d{1,3})$/iu.test(
    cell.trim(),
  );

/** True for a cell with figures that are not a label's own. */
export const hasFigures = (cell: string): boolean => /\p{N}/u.test(cell) && !isLabel(cell);

/**
 * Which column of rows without headings holds the distances, or why that cannot be told. Only what cannot be otherwise
 * is taken: places differ from row to row and run one way, so a column in which they do not is none; a first column 1,
 * 2, 3 counts; what is left beside the distances must be fit for rings. Two columns that both run one way are settled
 * only where one sums the other.
 */
export function distanceColumn(rows: readonly (readonly string[])[], unit: ListUnit): number | { why: string } {
  const count = rows[0]!.length;
  const readings = Array.from({ length: count }, (_, k) =>
    rows.every((row) => hasFigures(row[k] ?? '')) ? rows.map((row) => lengthIn(row[k]!, unit)) : undefined,
  );
  const numeric = readings.flatMap((values, k) => (values ? [k] : []));
  const able = numeric.filter((k) => readings[k]!.every((value) => Number.isFinite(value)));
  const why = {
    why: `${able.length} cells could be the distance: name the columns in a line above, such as Guide, Distance, Ring`,
  };
  if (able.length === 0) return { why: 'no cell is a length: write it as 5 3/8 or 136.5' };
  if (able.length < numeric.length) return why;
  if (able.length === 1) return able[0]!;
  const [first] = able;
  const counts = first === 0 && rows.every((row, i) => row[0]!.trim() === String(i + 1));
  const rest = counts ? able.slice(1) : able;
  if (counts && rest.length === 1) {
    // 1,250 may be a thousand with its comma
    const thousands = rows.every((row) => /^\d{3}$/.test(row[rest[0]!]!.trim()));
    const [counted, row] = [rows[0]![0]!, rows[0]![rest[0]!]!.trim()];
    return thousands
      ? { why: `could be ${counted}${row} or number ${counted} at ${row}: put a colon after the number` }
      : rest[0]!;
  }
  if (rows.length < 3) return why;
  const running = rest.filter((k) => runsOneWay(readings[k]!));
  const [one, other] = running;
  if (one === undefined || running.length > 2) return why;
  if (other !== undefined) {
    if (sums(readings[one]!, readings[other]!)) return one;
    return sums(readings[other]!, readings[one]!) ? other : why;
  }
  const up = readings[one]!.at(-1)! > readings[one]![0]!;
  const fit = rest.every(
    (k) =>
      k === one ||
      fitForRings(
        readings[k]!,
        rows.map((row) => row[k]!),
        up,
      ),
  );
  return fit ? one : why;
}

function lengthIn(cell: string, unit: ListUnit): number {
  const reading = readLength(cell, unit);
  return reading.ok && reading.mm >= 0 ? reading.mm : Number.NaN;
}

const runsOneWay = (values: readonly number[]): boolean => {
  const steps = values.slice(1).map((value, i) => value - values[i]!);
  return steps.every((step) => step > 0) || steps.every((step) => step < 0);
};

/**
 * True where each of the first is the sum of the second up to it, as distances are of gaps; to what a rule rounds, mm.
 */
function sums(totals: readonly number[], gaps: readonly number[]): boolean {
  let sum = 0;
  return gaps.every((gap, i) => Math.abs((sum += gap) - totals[i]!) <= 0.8);
}

/** Rings grow toward the butt or stay, and are written without leading noughts. */
function fitForRings(values: readonly number[], written: readonly string[], up: boolean): boolean {
  const ordered = up ? values : values.toReversed();
  return (
    written.every((cell) => !/^0\d/.test(cell.trim())) &&
    ordered.every((value, i) => value > 0 && value <= largestRing && (i === 0 || value >= ordered[i - 1]!))
  );
}
