/** The inch is exactly 25.4 mm (international yard and pound agreement, 1 July 1959; NIST). */
export const millimetresPerInch = 25.4;
export type Unit = 'mm' | 'in';
export const toMillimetres = (value: number, unit: Unit): number =>
  unit === 'in' ? value * millimetresPerInch : value;
export const fromMillimetres = (mm: number, unit: Unit): number => (unit === 'in' ? mm / millimetresPerInch : mm);

/** Standard gravity, m/s^2 (3rd CGPM, 1901). */
export const standardGravity = 9.80665;
/** The weight of so many grams, N. */
export const newtonsOfGrams = (grams: number): number => (grams * standardGravity) / 1000;
