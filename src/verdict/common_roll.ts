import type { Estimate } from './measured_shoot.ts';

/** An angle brought into (-180, 180] degrees. */
export function wrapDegrees(angle: number): number {
  const turned = ((angle % 360) + 360) % 360;
  return turned > 180 ? turned - 360 : turned;
}

/**
 * The rings' own common line: the median of their rolls on the circle, which one or two rolled rings do not pull along,
 * with its standard uncertainty (a median of n equally good readings is sqrt(pi/2) times as uncertain as their mean).
 * One ring has no line to be compared with: undefined below two.
 *
 * @param rolls degrees about the axis, any common zero
 */
export function commonRoll(rolls: readonly Estimate[]): Estimate | undefined {
  if (rolls.length < 2) return undefined;
  const spreadAbout = (centre: number) => rolls.reduce((sum, r) => sum + Math.abs(wrapDegrees(r.value - centre)), 0);
  const anchor = rolls.reduce((a, b) => (spreadAbout(b.value) < spreadAbout(a.value) ? b : a)).value;
  const turned = rolls.map((r) => wrapDegrees(r.value - anchor)).toSorted((a, b) => a - b);
  const middle = turned.length >> 1;
  const median = turned.length % 2 ? turned[middle]! : (turned[middle - 1]! + turned[middle]!) / 2;
  const meanVariance = rolls.reduce((sum, r) => sum + r.u ** 2, 0) / rolls.length;
  return { value: wrapDegrees(anchor + median), u: Math.sqrt(((Math.PI / 2) * meanVariance) / rolls.length) };
}
