import {
  formatLength,
  fractionalInches,
  type LengthDisplay,
  lengthDigits,
  readLength,
} from '../../plan/lengths/length_text.ts';
import { gramsOfNewtons, readForce } from '../../plan/lengths/force_text.ts';
import { fromMillimetres, type Unit } from '../../plan/lengths/units.ts';
import type { Written } from '../../store/build.ts';
import { planWords } from '../words/plan_words.ts';

/** What a field's text says: a value (none where an optional field is empty), or why it can't be read. */
export type FieldReading = { ok: true; value?: number } | { ok: false; why: string };

/** mm or a plain number; an optional field may be empty. */
export interface FieldLimits {
  least: number;
  most: number;
  optional?: boolean;
}

/** The unit a bare number is meant in. */
export const unitOf = (display: LengthDisplay): Unit => (display === 'mm' ? 'mm' : 'in');

export function readLengthField(text: string, display: LengthDisplay, limits: FieldLimits): FieldReading {
  if (text.trim() === '') return limits.optional ? { ok: true } : { ok: false, why: planWords.needsLength };
  const reading = readLength(text, unitOf(display));
  if (!reading.ok) return { ok: false, why: planWords.notLength(reading.why) };
  return within(reading.mm, limits, (mm) => formatLength(mm, display));
}

/** A weight in grams, or with its own unit; `limits` in grams. */
export function readForceField(text: string, limits: FieldLimits): FieldReading {
  if (text.trim() === '') return limits.optional ? { ok: true } : { ok: false, why: planWords.needsNumber };
  const reading = readForce(text);
  if (!reading.ok) return { ok: false, why: planWords.notLength(reading.why) };
  return within(gramsOfNewtons(reading.newtons), limits, (grams) => `${grams} g`);
}

/** A plain number: degrees, grams, a count; a decimal comma is taken. */
export function readNumberField(text: string, limits: FieldLimits, whole = false): FieldReading {
  const plain = text.trim().replace(',', '.');
  if (plain === '') return limits.optional ? { ok: true } : { ok: false, why: planWords.needsNumber };
  if (!(whole ? /^\d+$/ : /^-?\d*\.?\d+$/).test(plain)) return { ok: false, why: planWords.needsNumber };
  return within(Number(plain), limits, String);
}

function within(value: number, { least, most }: FieldLimits, say: (value: number) => string): FieldReading {
  // a limit that is whole in one unit may be missed by a rounding in another
  if (value < least - 1e-9 || value > most + 1e-9) return { ok: false, why: planWords.outside(say(least), say(most)) };
  return { ok: true, value };
}

/** A length as it stands in a field: exact to what anyone measures, fractions where it lies on one. */
export function lengthInField(mm: number, display: LengthDisplay): string {
  if (display === 'mm') return String(Number(lengthDigits(mm, 'mm', { mmDecimals: 3 })));
  const sixtyFourths = fromMillimetres(mm, 'in') * 64;
  if (display === 'in-fraction' && Math.abs(sixtyFourths - Math.round(sixtyFourths)) < 1e-3)
    return fractionalInches(mm, 64);
  return String(Number(lengthDigits(mm, 'in', { inchDecimals: 4 })));
}

/**
 * What a field shows: the text as it was typed while it says the value that stands, or cannot be read; else the value
 * in the unit of the day. The builder's own way of writing a length so lives on, and an undo or a new unit is still
 * seen.
 */
export function shownInField(
  written: Written | undefined,
  value: number | undefined,
  read: (text: string) => FieldReading,
  format: (value: number) => string,
): { text: string; why?: string } {
  if (written) {
    const reading = read(written.text);
    if (written.value === undefined) return { text: written.text, why: reading.ok ? planWords.typeAgain : reading.why };
    if (reading.ok && reading.value !== undefined && value !== undefined && Math.abs(reading.value - value) < 1e-6)
      return { text: written.text };
  }
  return { text: value === undefined ? '' : format(value) };
}
