/** What can be said of one measured offset against its tolerance. */
export type Decision = 'on' | 'off' | 'unsure';

/** Coverage factor between a standard and an expanded uncertainty: about 95 % for a normal error (JCGM 100:2008, 6.3). */
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

/**
 * Probability that the true value lies within the limits, given a normal error (JCGM 106:2012, 7.2 to 7.4).
 * One-sided limits are given as -Infinity or Infinity.
 *
 * @param estimate the measured value
 * @param standard standard uncertainty, same unit, over zero
 */
export function conformanceProbability(estimate: number, standard: number, lower: number, upper: number): number {
  return normalCumulative((upper - estimate) / standard) - normalCumulative((lower - estimate) / standard);
}

/**
 * The standard normal distribution's cumulative probability, to about 1e-15 absolute.
 * Method: the odd series of G. Marsaglia, "Evaluating the normal distribution", J. Stat. Software 11 (2004) 4.
 */
export function normalCumulative(x: number): number {
  if (x > 8.3) return 1;
  if (x < -8.3) return 0;
  let term = x;
  let sum = x;
  for (let k = 3; Math.abs(term) > 1e-17 * Math.abs(sum); k += 2) {
    term *= (x * x) / k;
    sum += term;
  }
  return 0.5 + (sum * Math.exp((-x * x) / 2)) / Math.sqrt(2 * Math.PI);
}
