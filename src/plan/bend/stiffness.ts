import { type DiameterStation, sectionAt } from '../taper.ts';

/**
 * Bending stiffness EI along a blank, as plain data. Outer diameters run straight between stations (a cone), and are
 * held beyond the first and last. The law turns a section into EI: `section`: EI = E pi (D^4 - (D - 2 wall)^4) / 64
 * with E in GPa; `power`: EI = coefficient (D / 1 mm)^exponent in N mm^2, as fitted to a hang test.
 */
export interface Stiffness {
  stations: readonly DiameterStation[];
  law: { kind: 'section'; modulus: number } | { kind: 'power'; coefficient: number; exponent: number };
}

/** EI in N mm^2 at arc length `s` (mm from the tip). */
export function stiffnessAt({ stations, law }: Stiffness, s: number): number {
  const { diameter, wall } = sectionAt(stations, s);
  if (law.kind === 'power') return law.coefficient * diameter ** law.exponent;
  const bore = wall === undefined ? 0 : Math.max(diameter - 2 * wall, 0);
  const outer2 = diameter * diameter;
  const bore2 = bore * bore;
  return (law.modulus * 1000 * Math.PI * (outer2 * outer2 - bore2 * bore2)) / 64;
}
