/** The same turn within half a turn either way: degrees from -180 on and below 180. */
export const turnOf = (degrees: number): number => (((degrees % 360) + 540) % 360) - 180;
