import { describe, expect, it } from 'vitest';
import { solveBend } from '../../src/plan/bend/elastica.ts';
import { type Stiffness, stiffnessAt } from '../../src/plan/bend/stiffness.ts';
import { sectionAt } from '../../src/plan/taper.ts';

const tube = (diameter: number, wall?: number): Stiffness => ({
  stations: [
    { at: 0, diameter, ...(wall !== undefined && { wall }) },
    { at: 1000, diameter, ...(wall !== undefined && { wall }) },
  ],
  law: { kind: 'section', modulus: 100 },
});

describe('stiffness', () => {
  it('is E pi (D^4 - d^4) / 64 for a tube, worked by hand: 10 mm with a 1 mm wall at 100 GPa', () => {
    // pi (10000 - 4096) / 64 = 289.812 mm^4
    expect(stiffnessAt(tube(10, 1), 500)).toBeCloseTo(100_000 * 289.812, -2);
    expect(stiffnessAt(tube(10), 500)).toBeCloseTo(100_000 * 490.874, -2);
  });

  it('is solid where the walls meet', () => {
    expect(stiffnessAt(tube(10, 7), 500)).toBe(stiffnessAt(tube(10), 500));
  });

  it('runs diameters and walls straight between stations and holds them beyond', () => {
    const stations = [
      { at: 100, diameter: 2, wall: 1 },
      { at: 200, diameter: 4, wall: 0.5 },
      { at: 400, diameter: 10, wall: 1 },
    ];
    expect(sectionAt(stations, 150)).toEqual({ diameter: 3, wall: 0.75 });
    expect(sectionAt(stations, 300)).toEqual({ diameter: 7, wall: 0.75 });
    expect(sectionAt(stations, 0)).toMatchObject({ diameter: 2 });
    expect(sectionAt(stations, 900)).toMatchObject({ diameter: 10 });
  });

  it('bends a leaf of triangular plan by P L^3 / (2 EI): 0.0427 in for the spring of Harris 1959, problem 61', () => {
    // E 30e6 psi, P 10 lb, root 3 in wide and 0.5 in thick, L 20 in; any set of units that agree will do
    const root = (30e6 * 3 * 0.5 ** 3) / 12;
    const stations = [
      { at: 0, diameter: 1e-9 },
      { at: 20, diameter: 1 },
    ];
    const leaf: Stiffness = { stations, law: { kind: 'power', coefficient: root, exponent: 1 } };
    const tip = solveBend({ stiffness: leaf, clampAt: 20, load: { tension: 10, pullAngle: 90 } }).points[0]!;
    expect(-tip.y).toBeCloseTo(0.04267, 5);
  });
});
