import { InputError } from '../input_error.ts';
import { formatLength, type LengthDisplay } from './length_text.ts';
import { millimetresPerInch } from './units.ts';

/** What a builder can mark: the finest division used on the tape. */
export type TapeDivision = '1/16 in' | '1/32 in' | '1/64 in' | '0.5 mm' | '1 mm';
export const tapeDivisions: readonly TapeDivision[] = ['1/16 in', '1/32 in', '1/64 in', '0.5 mm', '1 mm'];

export const divisionLength = (division: TapeDivision): number =>
  division.endsWith('in') ? millimetresPerInch / Number(division.slice(2, 4)) : Number.parseFloat(division);

/** The nearest reading on the tape and what rounding leaves (place less reading), mm. */
export interface TapeReading {
  reading: number;
  left: number;
}

export function nearestReading(mm: number, division: TapeDivision): TapeReading {
  const length = divisionLength(division);
  const reading = Math.round(mm / length) * length;
  return { reading, left: mm - reading };
}

/** How a reading on such a tape is written. */
export const readingText = (reading: number, division: TapeDivision): string =>
  division.endsWith('in')
    ? formatLength(reading, 'in-fraction', { denominator: Number(division.slice(2, 4)) as 16 | 32 | 64 })
    : formatLength(reading, 'mm', { mmDecimals: division === '1 mm' ? 0 : 1 });

export const displayOf = (division: TapeDivision): LengthDisplay => (division.endsWith('in') ? 'in-fraction' : 'mm');

/**
 * Each position to the nearest reading, every one from the tip, so that roundings never add up: none is off by more
 * than half a division. Throws InputError where two positions fall on one reading.
 */
export function roundPositions(at: readonly number[], division: TapeDivision): number[] {
  const rounded = at.map((place) => nearestReading(place, division).reading);
  const same = rounded.findIndex((reading, k) => k > 0 && reading === rounded[k - 1]);
  if (same > 0) {
    const reading = readingText(rounded[same]!, division);
    throw new InputError(
      `Guides ${same} and ${same + 1} would both be marked at ${reading}; take a finer division or fewer guides.`,
    );
  }
  return rounded;
}
