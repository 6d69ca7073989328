import { formatLength, fractionalInches, type LengthDisplay, lengthDigits } from '../plan/lengths/length_text.ts';
import type { Plan } from '../plan/plan.ts';
import type { Measured } from './report.ts';

/**
 * How a plan's lengths are said unless the builder chose otherwise: a plan in inches in the fractions a tape carries.
 */
export const displayOf = (plan: Pick<Plan, 'unit'>): LengthDisplay => (plan.unit === 'in' ? 'in-fraction' : 'mm');

/** A planned distance (mm): `291 mm`, `21 3/4 in`; decimals where the plan's own figure has them. */
export function plannedText(mm: number, display: LengthDisplay): string {
  if (display === 'mm') return `${Number(mm.toFixed(1))} mm`;
  const onTheTape = Math.abs(mm / 25.4 - Math.round((mm / 25.4) * 64) / 64) < 1e-3;
  if (display === 'in-fraction' && onTheTape) return `${fractionalInches(mm, 64)} in`;
  return `${Number(lengthDigits(mm, 'in'))} in`;
}

/** A distance to move something by (mm, sign left aside): `3.2 mm`, `1/8 in`, `0.126 in`. */
export function amountText(mm: number, display: LengthDisplay): string {
  const amount = Math.abs(mm);
  if (display !== 'in-fraction') return formatLength(amount, display);
  const fraction = fractionalInches(amount, 32);
  return fraction === '0' ? formatLength(amount, 'in') : `${fraction} in`;
}

/** A measured place (mm) in an instruction: decimals, for nothing measured falls on a fraction. */
export const placeText = (mm: number, display: LengthDisplay): string =>
  formatLength(mm, display === 'mm' ? 'mm' : 'in', { inchDecimals: 2 });

/** A small measured distance (mm, sign left aside) in decimals: `0.4 mm`, `0.016 in`. */
export const differenceText = (mm: number, display: LengthDisplay): string =>
  formatLength(Math.abs(mm), display === 'mm' ? 'mm' : 'in');

/** A measured place (mm), which never stands without its doubt: `948.3 mm, give or take 0.2`. */
export function measuredText(measured: Measured, display: LengthDisplay): string {
  const unit = display === 'mm' ? 'mm' : 'in';
  return `${formatLength(measured.value, unit)}, give or take ${doubtDigits(measured.expanded, display)}`;
}

/** An expanded uncertainty (mm) as digits, rounded up so that it is never said smaller than it is. */
export function doubtDigits(expanded: number, display: LengthDisplay): string {
  if (!Number.isFinite(expanded)) return 'unknown';
  const [shown, decimals] = display === 'mm' ? [expanded, 1] : [expanded / 25.4, 3];
  const step = 10 ** -decimals;
  return (Math.max(1, Math.ceil(shown / step - 1e-9)) * step).toFixed(decimals);
}

/** `4.5 degrees`, `1 degree`, sign left aside. */
export function degreesText(degrees: number): string {
  const text = `${Number(Math.abs(degrees).toFixed(1))}`;
  return `${text} ${text === '1' ? 'degree' : 'degrees'}`;
}

/** A roll with its side: `4.5 degrees clockwise`; `not rolled` where it comes to no tenth of a degree. */
export const turnedText = (degrees: number): string =>
  Number(Math.abs(degrees).toFixed(1)) === 0 ? 'not rolled' : `${degreesText(degrees)} ${turnOf(degrees)}`;

/** A roll with its side and its doubt: `4.5 degrees clockwise, give or take 0.4`. */
export const rollText = (roll: Measured): string =>
  `${turnedText(roll.value)}, give or take ${degreesDoubt(roll.expanded)}`;

/** An expanded uncertainty (degrees) as digits, rounded up. */
export const degreesDoubt = (expanded: number): string =>
  Number.isFinite(expanded) ? Math.max(0.1, Math.ceil(expanded * 10 - 1e-9) / 10).toFixed(1) : 'unknown';

/** As seen from the butt looking toward the tip. */
export const turnOf = (roll: number): string => (roll < 0 ? 'counter-clockwise' : 'clockwise');

/** The side an offset lies on, and the way to go when something has to move by `mm` along the blank. */
export const towardOf = (mm: number): string => (mm < 0 ? 'toward the tip' : 'toward the butt');

const smallNumbers = [
  'no',
  'one',
  'two',
  'three',
  'four',
  'five',
  'six',
  'seven',
  'eight',
  'nine',
  'ten',
  'eleven',
  'twelve',
];

/** `two guides`, `one guide`; figures above twelve. */
export const countText = (count: number, one: string, many = `${one}s`): string =>
  `${smallNumbers[count] ?? count} ${count === 1 ? one : many}`;

/** `G1`, `G1 and G2`, `G1, G2 and G3`. */
export function listText(names: readonly string[]): string {
  if (names.length < 2) return names[0] ?? '';
  return `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}

export const capitalized = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** A sentence to stand within another; a name of capitals and figures keeps its own. */
export const lowerFirst = (text: string): string =>
  /^[A-Z][a-z ]/.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text;
