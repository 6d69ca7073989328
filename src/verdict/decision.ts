/** What can be said of one measured offset against its tolerance. */
export type Decision = 'on' | 'off' | 'unsure';

/**
 * Coverage factor between a standard and an expanded uncertainty: about 95 % for a normal error (JCGM 100:2008, 6.3).
 */
export const coverageFactor = 2;

/**
 * Guarded acceptance and guarded rejection after JCGM 106:2012, clause 8, with a guard band of one expanded uncertainty
 * on either side of the limit, so that neither a pass nor a rejection is given while the limit lies inside offset +- U
 * (ISO 14253-1 draws the same three zones). A value that is not a number decides nothing.
 *
 * @param offset found minus planned, mm or degrees
 * @param expanded expanded uncertainty U (k = 2), same unit, zero or more
 * @param tolerance largest allowed |offset|, same unit
 */
export function decide(offset: number, expanded: number, tolerance: number): Decision {
  if (!Number.isFinite(offset) || !(expanded >= 0) || !Number.isFinite(expanded)) return 'unsure';
  const distance = Math.abs(offset);
  if (distance + expanded <= tolerance) return 'on';
  if (distance - expanded > tolerance) return 'off';
  return 'unsure';
}
