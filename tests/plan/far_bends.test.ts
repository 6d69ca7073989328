import { describe, expect, it } from 'vitest';
import type { BendCase } from '../../src/plan/bend/bent_rod.ts';
import { solveBend } from '../../src/plan/bend/elastica.ts';
import { type Stiffness, stiffnessAt } from '../../src/plan/bend/stiffness.ts';

/**
 * The bent blank without line by another way: the angles of a chain of straight links that make its energy least, found
 * by Newton's method on all of them at once (a tridiagonal system), the load grown in steps. The error goes with the
 * square of the links' length.
 */
function chainTip(stiffness: Stiffness, clampAt: number, tension: number, pullAngle: number, links: number) {
  const at = Array.from({ length: links + 1 }, (_, i) => clampAt * (i / links) ** 2);
  const length = at.slice(1).map((s, i) => s - at[i]!);
  const middle = at.slice(1).map((s, i) => (s + at[i]!) / 2);
  const spring = Array.from({ length: links }, (_, i) => {
    const next = i + 1 < links ? middle[i + 1]! : clampAt;
    return stiffnessAt(stiffness, (middle[i]! + next) / 2) / (next - middle[i]!);
  });
  const theta = new Float64Array(links);
  const steps = 60;
  for (let step = 1; step <= steps; step++) {
    const load = tension * Math.min(1, (2 * step) / steps);
    const pull =
      (-Math.PI / 180) * (pullAngle > 90 ? 90 + (pullAngle - 90) * Math.max(0, (2 * step) / steps - 1) : pullAngle);
    for (let round = 0; round < 60; round++) {
      const residual = new Float64Array(links);
      const diagonal = new Float64Array(links);
      for (let i = 0; i < links; i++) {
        const after = i + 1 < links ? theta[i + 1]! : 0;
        residual[i] = spring[i]! * (theta[i]! - after) + load * length[i]! * Math.sin(theta[i]! - pull);
        diagonal[i] = spring[i]! + load * length[i]! * Math.cos(theta[i]! - pull);
        if (i > 0) {
          residual[i]! += spring[i - 1]! * (theta[i]! - theta[i - 1]!);
          diagonal[i]! += spring[i - 1]!;
        }
      }
      const [d, r] = [Float64Array.from(diagonal), Float64Array.from(residual)];
      for (let i = 1; i < links; i++) {
        const factor = -spring[i - 1]! / d[i - 1]!;
        d[i]! += factor * spring[i - 1]!;
        r[i]! -= factor * r[i - 1]!;
      }
      let largest = 0;
      let below = 0;
      for (let i = links - 1; i >= 0; i--) {
        below = (r[i]! + (i + 1 < links ? spring[i]! * below : 0)) / d[i]!;
        r[i] = below;
        largest = Math.max(largest, Math.abs(below));
      }
      const damping = Math.min(1, 0.3 / largest);
      for (let i = 0; i < links; i++) theta[i]! -= damping * r[i]!;
      if (largest < 1e-11) break;
    }
  }
  let [x, y] = [0, 0];
  for (let i = 0; i < links; i++) {
    x += length[i]! * Math.cos(theta[i]!);
    y += length[i]! * Math.sin(theta[i]!);
  }
  return { x, y };
}

const blank = (length: number, tip: number, butt: number, modulus: number, wall?: number): Stiffness => ({
  stations: [
    { at: 0, diameter: tip, ...(wall !== undefined && { wall }) },
    { at: length, diameter: butt, ...(wall !== undefined && { wall }) },
  ],
  law: { kind: 'section', modulus },
});

const far: [string, Stiffness, number, number, number][] = [
  ['a tube of 2743 mm, 9.8 N at 150 degrees', blank(2743, 1.8, 14, 40, 0.8), 2194, 9.8, 150],
  ['1.7 to 11.4 mm solid, 60 N at 150 degrees', blank(1418, 1.7, 11.4, 40), 1190, 60, 150],
  ['a solid tip of 0.8 mm, 6 N at 110 degrees', blank(1418, 0.8, 11.4, 40), 1190, 6, 110],
  ['a solid tip of 0.8 mm on a softer blank, 6 N at 110 degrees', blank(2000, 0.8, 10, 30), 1700, 6, 110],
  ['a taper of 0.3 to 100 mm, 20 N at 90 degrees', blank(1418, 0.3, 100, 40), 1190, 20, 90],
  ['a taper of 0.3 to 100 mm, 5 N at 110 degrees', blank(1418, 0.3, 100, 40), 1190, 5, 110],
];

describe('bends far round', () => {
  it.each(far)(
    '%s: the tip within 0.05 mm of a chain of links',
    (_, stiffness, clampAt, tension, pullAngle) => {
      const tip = solveBend({ stiffness, clampAt, load: { tension, pullAngle } }).points[0]!;
      const [coarse, fine] = [2000, 4000].map((links) => chainTip(stiffness, clampAt, tension, pullAngle, links));
      // the chain's error goes with the square of its links (Richardson)
      const chain = { x: (4 * fine!.x - coarse!.x) / 3, y: (4 * fine!.y - coarse!.y) / 3 };
      expect(Math.hypot(tip.x - chain.x, tip.y - chain.y)).toBeLessThan(0.05);
    },
    30_000,
  );

  it.each(far)(
    '%s: the same on twice the nodes, with line and guides too',
    (_, stiffness, clampAt, tension, pullAngle) => {
      const guides = [5, 5, 8, 10, 15, 20, 27].map((offset, k) => ({
        at: 0.07 * clampAt + 0.11 * clampAt * k,
        offset: offset + 4,
      }));
      const line = { tipOffset: 3, guides, reel: { at: 1.05 * clampAt, offset: 40 } };
      for (const bend of [
        { stiffness, clampAt, load: { tension, pullAngle } },
        { stiffness, clampAt, load: { tension, pullAngle }, line },
      ] as BendCase[]) {
        const [a, b] = [solveBend(bend).points[0]!, solveBend(bend, 400).points[0]!];
        expect(Math.hypot(a.x - b.x, a.y - b.y)).toBeLessThan(0.1);
      }
    },
    60_000,
  );

  it('says so where a blank would hang like a thread', () => {
    expect(() =>
      solveBend({ stiffness: blank(2000, 0.1, 1, 10), clampAt: 1700, load: { tension: 200, pullAngle: 110 } }),
    ).toThrow('could not be followed; try a lighter load');
  });
});
