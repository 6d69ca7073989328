import { median } from '../numerics/robust.ts';
import type { Estimate } from './measured_shoot.ts';

/** An angle brought into (-180, 180] degrees. */
export function wrapDegrees(angle: number): number {
  const turned = ((angle % 360) + 360) % 360;
  return turned > 180 ? turned - 360 : turned;
}

/**
 * The rings' own common line: the median of their rolls on the circle, which one or two rolled rings do not pull along,
 * with its standard uncertainty: a median of n normal readings varies by sqrt(pi n / 2) over the sum of their 1 / u
 * (its asymptotic variance, by the sum of densities in the middle), the better half counted no better than the middle
 * one. One ring has no line to be compared with: undefined below two.
 *
 * @param rolls degrees about the axis, any common zero
 */
export function commonRoll(rolls: readonly Estimate[]): Estimate | undefined {
  if (rolls.length < 2) return undefined;
  const spreadAbout = (centre: number) => rolls.reduce((sum, r) => sum + Math.abs(wrapDegrees(r.value - centre)), 0);
  const anchor = rolls.reduce((a, b) => (spreadAbout(b.value) < spreadAbout(a.value) ? b : a)).value;
  const middle = median(rolls.map((r) => wrapDegrees(r.value - anchor)));
  const least = median(rolls.map(({ u }) => u));
  const density = rolls.reduce((sum, { u }) => sum + 1 / Math.max(u, least), 0);
  return { value: wrapDegrees(anchor + middle), u: Math.sqrt((Math.PI / 2) * rolls.length) / density };
}
