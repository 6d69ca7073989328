import { plainSigns } from './plain_signs.ts';
import { shortened } from './length_text.ts';
import { newtonsOfGrams, standardGravity } from './units.ts';

/**
 * The avoirdupois pound is exactly 0.45359237 kg (international yard and pound agreement, 1 July 1959), its ounce a
 * sixteenth.
 */
export const gramsPerPound = 453.59237;
export const gramsPerOunce = gramsPerPound / 16;

/** A force as read from what a person wrote, newtons, or why it cannot be read. */
export type ForceReading = { ok: true; newtons: number } | { ok: false; why: string };

const units: readonly (readonly [RegExp, number])[] = [
  [/^(?:g|gr|gram(?:me)?s?)\.?$/i, newtonsOfGrams(1)],
  [/^(?:kg|kilos?|kilogram(?:me)?s?)\.?$/i, newtonsOfGrams(1000)],
  [/^(?:oz|ounces?)\.?$/i, newtonsOfGrams(gramsPerOunce)],
  [/^(?:lbs?|pounds?)\.?$/i, newtonsOfGrams(gramsPerPound)],
  [/^(?:n|newtons?)$/i, 1],
];

/**
 * Reads a force: `150`, `150 g`, `0.5 kg`, `8 oz`, `1 1/2 lb`, `1 lb 4 oz`, `5 N`; a bare number is grams. Weights pull
 * with standard gravity. Newtons above nothing, or the reason.
 */
export function readForce(text: string): ForceReading {
  const plain = plainSigns(text);
  const parts = [...plain.matchAll(/((?:\d+\s+)?\d+\s*\/\s*\d+|\d+(?:[.,]\d+)?|[.,]\d+)\s*(\p{L}+\.?)?/gu)];
  const why = `"${shortened(plain)}" is not a weight or force: write it as 150 g, 5 oz, 1 lb 4 oz or 8 N`;
  if (parts.length === 0 || parts.map(([part]) => part.trim()).join(' ') !== plain.replace(/\s+/g, ' '))
    return { ok: false, why };
  const [first, second] = parts;
  const poundsAndOunces =
    second && /^(?:lbs?|pounds?)\.?$/i.test(first![2] ?? '') && /^(?:oz|ounces?)\.?$/i.test(second[2] ?? '');
  if (parts.length > (poundsAndOunces ? 2 : 1)) return { ok: false, why };
  let newtons = 0;
  for (const [, digits, unit = 'g'] of parts) {
    const per = units.find(([word]) => word.test(unit))?.[1];
    if (per === undefined) return { ok: false, why };
    newtons += numberOf(digits!) * per;
  }
  return Number.isFinite(newtons) && newtons > 0 ? { ok: true, newtons } : { ok: false, why };
}

function numberOf(digits: string): number {
  const parts = /^(?:(\d+)\s+)?(\d+)\s*\/\s*(\d+)$/.exec(digits);
  return parts ? Number(parts[1] ?? 0) + Number(parts[2]) / Number(parts[3]) : Number(digits.replace(',', '.'));
}

/** The grams that weigh so much. */
export const gramsOfNewtons = (newtons: number): number => (newtons * 1000) / standardGravity;
