/** Abramowitz and Stegun 1964, 7.1.26, absolute error under 1.5e-7. */
function erf(x: number): number {
  const t = 1 / (1 + 0.3275911 * Math.abs(x));
  const tail =
    t *
    (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))) *
    Math.exp(-x * x);
  return x < 0 ? tail - 1 : 1 - tail;
}

/** Share of a standard normal distribution below `z`, to 1e-7. */
export const normalShareBelow = (z: number): number => 0.5 * (1 + erf(z / Math.SQRT2));

/** Density of the standard normal distribution at `z`. */
export const normalDensity = (z: number): number => Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);

/** The normal distribution's quantile, to 4.5e-4 (Abramowitz and Stegun 1964, 26.2.23). */
export function normalQuantile(p: number): number {
  const q = Math.min(p, 1 - p);
  const t = Math.sqrt(-2 * Math.log(Math.max(q, 1e-6)));
  const z = t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
  return p < 0.5 ? -z : z;
}
