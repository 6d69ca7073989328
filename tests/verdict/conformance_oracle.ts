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
