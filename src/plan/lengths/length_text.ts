import { plainSigns } from './plain_signs.ts';
import { fromMillimetres, millimetresPerInch, type Unit } from './units.ts';

/** How lengths are shown: millimetres, decimal inches, or inches and the fractions a tape carries. */
export type LengthDisplay = 'mm' | 'in' | 'in-fraction';
export type Denominator = 16 | 32 | 64;

/**
 * A length as read from what a person wrote: millimetres, with the unit it was written in, or why it cannot be read.
 */
export type LengthReading =
  | { ok: true; mm: number; unit: Unit | 'cm'; unitWritten: boolean }
  | { ok: false; why: string };

const millimetresPer = { mm: 1, cm: 10, in: millimetresPerInch } as const;

/** Divisions found on rules; any other is far likelier a slip of the pen (5 3/18) than a reading. */
const denominators = new Set([2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 32, 50, 64, 100, 128]);

const unitWords = String.raw`mm\.?|cm\.?|in\.?|inch|inches|millimet(?:re|er)s?|centimet(?:re|er)s?|"`;
const feetWords = String.raw`'|ft\.?|feet|foot`;

/**
 * Reads one length: `5 3/8`, `5-3/8`, `5 + 3/8`, `5⅜`, `5 ³⁄₈`, `5.375`, `5,375`, `11/16`, `1,250.5`, `1’250`, with or
 * without `mm`, `cm`, `in`, `inch` or `"`; feet with or without inches, `7'`, `7' 6 1/2"`, `7 ft 6`. Without a unit,
 * `unit` is meant. Nothing is guessed: an improper fraction (`11/8` is as likely `1 1/8` with its space lost) and a
 * thousands comma are refused with the reason. Millimetres; may be negative, never NaN.
 */
export function readLength(text: string, unit: Unit | 'cm'): LengthReading {
  const plain = plainSigns(text);
  if (plain.includes('\ufffd')) return { ok: false, why: 'a sign was lost in copying (\ufffd): type the number again' };
  const feet = readFeet(plain);
  if (feet) return feet;
  const parts = new RegExp(`^(.*?)(?:\\s*(${unitWords}))?$`, 'i').exec(plain);
  const suffix = parts?.[2]?.toLowerCase();
  const written = suffix === undefined ? unit : suffix.startsWith('m') ? 'mm' : suffix.startsWith('c') ? 'cm' : 'in';
  const number = readNumber(parts?.[1] ?? '', written);
  if (typeof number === 'string') return { ok: false, why: number };
  return { ok: true, mm: number * millimetresPer[written], unit: written, unitWritten: suffix !== undefined };
}

/** Feet, and inches below twelve after them; undefined where no feet are written. */
function readFeet(plain: string): LengthReading | undefined {
  const parts = new RegExp(`^([+-]?)\\s*(\\d{1,3}(?:[.,]\\d+)?)\\s*(?:${feetWords})(?!\\d{3}(?!\\d))(.*)$`, 'i').exec(
    plain,
  );
  if (!parts) return undefined;
  const [, sign, feet, after] = parts as unknown as [string, string, string, string];
  const inchText = /^[\s-]*(.*?)\s*(?:"|in\.?|inch|inches)?$/i.exec(after)![1]!;
  const inches = inchText === '' ? 0 : /^\d|^[.,]\d/.test(inchText) ? readNumber(inchText, 'in') : 'not inches';
  if (typeof inches === 'string' || inches >= 12 || (inches > 0 && !/^\d+$/.test(feet))) {
    return { ok: false, why: `"${plain}" is not feet and inches: write it as 7' 6 1/2"` };
  }
  const length = (Number(feet.replace(',', '.')) * 12 + inches) * millimetresPerInch;
  return { ok: true, mm: sign === '-' ? -length : length, unit: 'in', unitWritten: true };
}

function readNumber(text: string, unit: Unit | 'cm'): number | string {
  const signed = /^([+-]?)\s*(.*)$/.exec(text)!;
  const sign = signed[1] === '-' ? -1 : 1;
  const body = signed[2]!.trim();
  if (body === '') return 'there is no number';
  if (/^\d{1,3},\d{3}$/.test(body) && unit === 'mm') {
    return `"${body}" could be ${body.replace(',', '')} or ${body.replace(',', '.')}: write it without the comma`;
  }
  const grouped = /^\d{1,3}(?:,\d{3})+\.\d+$|^\d{1,3}(?:\.\d{3})+,\d+$|^\d{1,3}(?:'\d{3})+(?:[.,]\d+)?$/.test(body);
  if (grouped) {
    const decimals = /[.,](\d+)$/.exec(body)?.[1] ?? '';
    const whole = decimals === '' ? body : body.slice(0, -decimals.length - 1);
    return sign * Number(`${whole.replace(/[.,']/g, '')}.${decimals}0`);
  }
  if (/^(\d{1,7}([.,]\d*)?|[.,]\d+)$/.test(body)) return sign * Number(body.replace(',', '.'));
  const fraction = /^(?:(\d{1,5})\s*[ +-]\s*)?(\d{1,3})\s*\/\s*(\d{1,3})$/.exec(body);
  if (!fraction) return `"${shortened(text)}" is not a length`;
  const [whole, numerator, denominator] = [Number(fraction[1] ?? 0), Number(fraction[2]), Number(fraction[3])];
  const ninthOrSeventh = numerator === 1 && (denominator === 7 || denominator === 9);
  if (!denominators.has(denominator) && !ninthOrSeventh) return `"${body}" has a fraction no rule carries`;
  if (numerator >= denominator)
    return `"${body}" has a fraction of one or more: write it as a whole number and a fraction below one`;
  return sign * (whole + numerator / denominator);
}

/** What a person wrote, short enough to stand in a sentence, beside a file's name and a place in it. */
export const shortened = (text: string, most = 40): string =>
  text.length <= most ? text : `${text.slice(0, most - 3)}...`;

const trimmed = (value: number, decimals: number): string => {
  const text = value.toFixed(decimals);
  return Number(text) === 0 ? (0).toFixed(decimals) : text;
};

/** Inches as whole and fraction in lowest terms, to the nearest 1/`denominator`: `5 3/8`, `11/16`, `-1/4`, `0`. */
export function fractionalInches(mm: number, denominator: Denominator = 32): string {
  const parts = Math.round((Math.abs(mm) / millimetresPerInch) * denominator);
  const whole = Math.floor(parts / denominator);
  let numerator = parts % denominator;
  let below: number = denominator;
  while (numerator > 0 && numerator % 2 === 0) {
    numerator /= 2;
    below /= 2;
  }
  const sign = mm < 0 && parts > 0 ? '-' : '';
  if (numerator === 0) return `${sign}${whole}`;
  return `${sign}${whole > 0 ? `${whole} ` : ''}${numerator}/${below}`;
}

/** How finely a length is shown: decimals of a millimetre or of an inch, and the finest fraction of an inch. */
export interface LengthDetail {
  mmDecimals?: number;
  inchDecimals?: number;
  denominator?: Denominator;
}

/** A length (mm) as digits only, in the chosen display: `136.5`, `5.375`, `5 3/8`. */
export function lengthDigits(mm: number, display: LengthDisplay, detail: LengthDetail = {}): string {
  if (display === 'mm') return trimmed(mm, detail.mmDecimals ?? 1);
  if (display === 'in') return trimmed(fromMillimetres(mm, 'in'), detail.inchDecimals ?? 3);
  return fractionalInches(mm, detail.denominator);
}

/** A length (mm) with its unit, in the chosen display: `136.5 mm`, `5.375 in`, `5 3/8 in`. */
export function formatLength(mm: number, display: LengthDisplay, detail: LengthDetail = {}): string {
  return `${lengthDigits(mm, display, detail)} ${display === 'mm' ? 'mm' : 'in'}`;
}
