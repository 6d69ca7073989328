import { fromMillimetres, millimetresPerInch, type Unit } from './units.ts';

/** How lengths are shown: millimetres, decimal inches, or inches and the fractions a tape carries. */
export type LengthDisplay = 'mm' | 'in' | 'in-fraction';
export type Denominator = 16 | 32 | 64;

/** A length as read from what a person wrote: millimetres, with the unit it was written in, or why it cannot be read. */
export type LengthReading =
  | { ok: true; mm: number; unit: Unit | 'cm'; unitWritten: boolean }
  | { ok: false; why: string };

const millimetresPer = { mm: 1, cm: 10, in: millimetresPerInch } as const;

const vulgarFractions: Readonly<Record<string, string>> = {
  '½': '1/2',
  '⅓': '1/3',
  '⅔': '2/3',
  '¼': '1/4',
  '¾': '3/4',
  '⅕': '1/5',
  '⅖': '2/5',
  '⅗': '3/5',
  '⅘': '4/5',
  '⅙': '1/6',
  '⅚': '5/6',
  '⅛': '1/8',
  '⅜': '3/8',
  '⅝': '5/8',
  '⅞': '7/8',
  '⅒': '1/10',
};

/** Divisions found on rules; any other is far likelier a slip of the pen (5 3/18) than a reading. */
const denominators = new Set([2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 32, 50, 64, 100, 128]);

/** Typographic spaces, dashes, quotes and fractions brought to the plain signs the patterns below know. */
export function plainSigns(text: string): string {
  return text
    .replace(/[½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞⅒]/g, (sign) => ` ${vulgarFractions[sign]}`)
    .replace(/[\u2044\u2215]/g, '/')
    .replace(/[\u2010-\u2015\u2212]/g, '-')
    .replace(/[\u2033\u201c\u201d\u201f\u3003]|''|[\u2032\u2019]{2}/g, '"')
    .replace(/[\s\u00a0\u2000-\u200a\u202f\u2060\ufeff]+/g, ' ')
    .trim();
}

/**
 * Reads one length: `5 3/8`, `5-3/8`, `5⅜`, `5.375`, `5,375`, `11/16`, with or without `mm`, `cm`, `in`, `inch` or `"`.
 * Without a unit, `unit` is meant. Nothing is guessed: an improper fraction (`11/8` is as likely `1 1/8` with its space
 * lost) and a thousands comma are refused with the reason. Millimetres; may be negative, never NaN.
 */
export function readLength(text: string, unit: Unit | 'cm'): LengthReading {
  const parts = /^(.*?)(?:\s*(mm\.?|cm\.?|in\.?|inch|inches|millimet(?:re|er)s?|centimet(?:re|er)s?|"))?$/i.exec(
    plainSigns(text),
  );
  const suffix = parts?.[2]?.toLowerCase();
  const written = suffix === undefined ? unit : suffix.startsWith('m') ? 'mm' : suffix.startsWith('c') ? 'cm' : 'in';
  const number = readNumber(parts?.[1] ?? '', written);
  if (typeof number === 'string') return { ok: false, why: number };
  return { ok: true, mm: number * millimetresPer[written], unit: written, unitWritten: suffix !== undefined };
}

function readNumber(text: string, unit: Unit | 'cm'): number | string {
  const signed = /^([+-]?)\s*(.*)$/.exec(text)!;
  const sign = signed[1] === '-' ? -1 : 1;
  const body = signed[2]!.trim();
  if (body === '') return 'there is no number';
  if (/^\d{1,3},\d{3}$/.test(body) && unit === 'mm') {
    return `"${body}" could be ${body.replace(',', '')} or ${body.replace(',', '.')}: write it without the comma`;
  }
  if (/^(\d{1,7}([.,]\d*)?|[.,]\d+)$/.test(body)) return sign * Number(body.replace(',', '.'));
  const fraction = /^(?:(\d{1,5})\s*[ -]\s*)?(\d{1,3})\s*\/\s*(\d{1,3})$/.exec(body);
  if (!fraction) return `"${text}" is not a length`;
  const [whole, numerator, denominator] = [Number(fraction[1] ?? 0), Number(fraction[2]), Number(fraction[3])];
  if (!denominators.has(denominator)) return `"${body}" has a fraction no rule carries`;
  if (numerator >= denominator)
    return `"${body}" has a fraction of one or more: write it as a whole number and a fraction below one`;
  return sign * (whole + numerator / denominator);
}

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
