import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { solveBend } from '../../src/plan/bend/elastica.ts';
import { InputError } from '../../src/plan/input_error.ts';
import { type Stiffness, stiffnessAt } from '../../src/plan/bend/stiffness.ts';
import { bendWithGuides, momentAt, potential } from './bent_rod_cases.ts';

const length = 1000;
const modulus = 50;

const cone = (taper: number): Stiffness => ({
  stations: [
    { at: 0, diameter: 10 * taper },
    { at: length, diameter: 10 },
  ],
  law: { kind: 'section', modulus },
});

/**
 * Deflection and shortening by length, and slope (rad), of a cantilever with a square tip load alpha = P L^2 / EI_root.
 */
function tipLoaded(stiffness: Stiffness, alpha: number) {
  const tension = (alpha * stiffnessAt(stiffness, length)) / length ** 2;
  const { points } = solveBend({ stiffness, clampAt: length, load: { tension, pullAngle: 90 } });
  const tip = points[0]!;
  return { deflection: -tip.y / length, shortening: 1 - tip.x / length, slope: -tip.theta };
}

/** Legendre's integrals F and E from `from` to pi/2 at modulus squared m, by Simpson's rule. */
function ellipticFrom(from: number, m: number): { f: number; e: number } {
  const n = 4000;
  const h = (Math.PI / 2 - from) / n;
  let [f, e] = [0, 0];
  for (let i = 0; i <= n; i++) {
    const root = Math.sqrt(1 - m * Math.sin(from + i * h) ** 2);
    const weight = ((i === 0 || i === n ? 1 : i % 2 === 1 ? 4 : 2) * h) / 3;
    f += weight / root;
    e += weight * root;
  }
  return { f, e };
}

describe('elastica: uniform cantilever with a square tip load', () => {
  // Mattiasson, Int. J. Numer. Meth. Engng 17 (1981) 145-153, table 1; five digits as printed
  it.each([
    [1, 0.30172, 0.05643, 0.46135],
    [2, 0.49346, 0.16064, 0.78175],
    [5, 0.71379, 0.38763, 1.21537],
    [10, 0.81061, 0.555, 1.43029],
  ])('alpha %d agrees with the published five digits', (alpha, deflection, shortening, slope) => {
    const found = tipLoaded(cone(1), alpha);
    expect(Math.abs(found.deflection - deflection)).toBeLessThan(0.6e-5);
    expect(Math.abs(found.shortening - shortening)).toBeLessThan(0.6e-5);
    expect(Math.abs(found.slope - slope)).toBeLessThan(0.6e-5);
  });

  it('agrees with the elliptic integrals of Bisshopp & Drucker (Quart. Appl. Math. 3 (1945) 272-275) for alpha 0.1 to 10', () => {
    // chosen tip slopes give alpha: sqrt(alpha) = F(k) - F(k, phi1), 2 k^2 = 1 + sin slope, sin phi1 = 1 / (k sqrt 2)
    fc.assert(
      fc.property(fc.double({ min: 0.05, max: 1.43, noNaN: true }), (slope) => {
        const m = (1 + Math.sin(slope)) / 2;
        const { f, e } = ellipticFrom(Math.asin(1 / Math.sqrt(2 * m)), m);
        const alpha = f ** 2;
        const found = tipLoaded(cone(1), alpha);
        expect(found.slope).toBeCloseTo(slope, 6);
        expect(found.deflection).toBeCloseTo(1 - (2 * e) / f, 6);
        expect(found.shortening).toBeCloseTo(1 - Math.sqrt((2 * Math.sin(slope)) / alpha), 6);
      }),
      { numRuns: 25 },
    );
  });
});

describe('elastica: solid cone with a square tip load', () => {
  // computed independently by shooting with an eighth-order Runge-Kutta method at 1e-12
  it.each([
    [0.5, 0.1, 0.0662335, 0.0030762, 0.1325669],
    [0.5, 0.5, 0.2913456, 0.0615296, 0.5910845],
    [0.5, 1, 0.4586312, 0.1612391, 0.9479664],
    [0.5, 2, 0.6089721, 0.3069506, 1.2727631],
    [0.3, 0.1, 0.1082253, 0.0098067, 0.2887143],
    [0.3, 0.5, 0.3834472, 0.1296477, 1.0150442],
    [0.3, 1, 0.520639, 0.2481939, 1.3292278],
    [0.2, 0.1, 0.1536659, 0.0237651, 0.5339558],
    [0.2, 0.5, 0.4250197, 0.1844462, 1.3324528],
  ])('taper %d, alpha %d, to five digits', (taper, alpha, deflection, shortening, slope) => {
    const found = tipLoaded(cone(taper), alpha);
    expect(Math.abs(found.deflection - deflection)).toBeLessThan(0.5e-5);
    expect(Math.abs(found.shortening - shortening)).toBeLessThan(0.5e-5);
    expect(Math.abs(found.slope - slope)).toBeLessThan(0.5e-5);
  });

  it('tends to P L^3 / (3 EI k) for a small load', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.25, max: 1, noNaN: true }), (taper) => {
        const alpha = 1e-4;
        expect(tipLoaded(cone(taper), alpha).deflection / (alpha / (3 * taper))).toBeCloseTo(1, 5);
      }),
      { numRuns: 20 },
    );
  });

  it('tends to the thin-wall integral for a law of the third power', () => {
    // integral of t^2 / (k + (1 - k) t)^3 over 0..1; 0.545177 for k = 0.5
    const stiffness: Stiffness = { ...cone(0.5), law: { kind: 'power', coefficient: 2000, exponent: 3 } };
    expect(tipLoaded(stiffness, 1e-4).deflection / 1e-4).toBeCloseTo(0.545177, 5);
  });
});

const anyBend = fc
  .record({
    tension: fc.double({ min: 0.5, max: 20, noNaN: true }),
    pullAngle: fc.double({ min: 30, max: 130, noNaN: true }),
    underneath: fc.boolean(),
    withLine: fc.boolean(),
  })
  .map(({ tension, pullAngle, underneath, withLine }) => {
    const bend = bendWithGuides({ load: { tension, pullAngle } });
    if (!withLine) {
      const { line: _, ...rest } = bend;
      return { ...rest, load: { tension: tension / 5, pullAngle } };
    }
    if (!underneath) return bend;
    const flip = <P extends { offset: number }>(place: P): P => ({ ...place, offset: -place.offset });
    const { tipOffset, guides, reel } = bend.line!;
    return { ...bend, line: { tipOffset: -tipOffset, guides: guides.map(flip), reel: flip(reel) } };
  });

describe('elastica: identities', () => {
  it('balances: the clamp carries the moment of every force, and the forces sum to pull and line at the reel', () => {
    fc.assert(
      fc.property(anyBend, (bend) => {
        const bent = solveBend(bend);
        const clamp = bent.points.at(-1)!;
        const moment = momentAt(bend, bent, bend.clampAt, clamp.x, clamp.y);
        expect(moment / bent.clampMoment).toBeCloseTo(1, 8);
        const { tension, pullAngle } = bend.load;
        const pull = (-pullAngle * Math.PI) / 180;
        const sum = bent.forces.reduce((total, force) => ({ x: total.x + force.x, y: total.y + force.y }), {
          x: 0,
          y: 0,
        });
        const [outer, reel] = bent.linePoints.slice(-2);
        const run = bend.line ? Math.hypot(reel!.x - outer!.x, reel!.y - outer!.y) : Number.POSITIVE_INFINITY;
        const [ux, uy] = bend.line ? [(reel!.x - outer!.x) / run, (reel!.y - outer!.y) / run] : [0, 0];
        expect(sum.x).toBeCloseTo(tension * (Math.cos(pull) + ux), 7);
        expect(sum.y).toBeCloseTo(tension * (Math.sin(pull) + uy), 7);
        expect(clamp.theta).toBeCloseTo(0, 9);
      }),
      { numRuns: 25 },
    );
  });

  it('pushes each guide along the bisector of the line, by twice the tension times the sine of half the turn', () => {
    const bend = bendWithGuides();
    const bent = solveBend(bend);
    for (const [k, force] of bent.forces.entries()) {
      const half = (bent.turns[k]! * Math.PI) / 360;
      expect(Math.hypot(force.x, force.y)).toBeCloseTo(2 * bend.load.tension * Math.abs(Math.sin(half)), 9);
    }
  });

  it('keeps curvature M / EI: the heading changes along the blank as the moment says', () => {
    fc.assert(
      fc.property(anyBend, (bend) => {
        const bent = solveBend(bend, 800);
        for (let i = 40; i + 1 < bent.points.length; i += 37) {
          const [a, b] = [bent.points[i]!, bent.points[i + 1]!];
          const s = (a.s + b.s) / 2;
          const moment = momentAt(bend, bent, s, (a.x + b.x) / 2, (a.y + b.y) / 2);
          const scale = Math.abs(bent.clampMoment) / stiffnessAt(bend.stiffness, s);
          expect(Math.abs((b.theta - a.theta) / (b.s - a.s) + moment / stiffnessAt(bend.stiffness, s))).toBeLessThan(
            2e-3 * scale,
          );
        }
      }),
      { numRuns: 10 },
    );
  });

  it('conserves M^2 / 2 EI + force along the blank on each stretch of a uniform one (first integral of the elastica)', () => {
    const uniform: Stiffness = {
      stations: [
        { at: 0, diameter: 6 },
        { at: 1400, diameter: 6 },
      ],
      law: { kind: 'section', modulus: 60 },
    };
    const bend = bendWithGuides({ stiffness: uniform });
    const bent = solveBend(bend);
    const ei = stiffnessAt(uniform, 0);
    const places = [0, ...bend.line!.guides.map((guide) => guide.at), bend.clampAt];
    for (const [k, from] of places.slice(0, -1).entries()) {
      const force = bent.forces
        .slice(0, k + 1)
        .reduce((sum, f) => ({ x: sum.x + f.x, y: sum.y + f.y }), { x: 0, y: 0 });
      const inside = bent.points.filter((point) => point.s > from && point.s < places[k + 1]!);
      const energies = inside.map(
        ({ s, x, y, theta }) =>
          momentAt(bend, bent, s, x, y) ** 2 / (2 * ei) + force.x * Math.cos(theta) + force.y * Math.sin(theta),
      );
      expect(Math.max(...energies) - Math.min(...energies)).toBeLessThan(1e-6 * bend.load.tension);
    }
  });

  it('does the work it should: the potential changes with tension by the line taken (Clapeyron, Castigliano)', () => {
    fc.assert(
      fc.property(anyBend, (bend) => {
        const { tension, pullAngle } = bend.load;
        const at = (factor: number) => potential({ ...bend, load: { tension: factor * tension, pullAngle } }, 800);
        const slope = (at(1.01).value - at(0.99).value) / (0.02 * tension);
        expect(Math.abs(slope - at(1).taken)).toBeLessThan(0.05);
      }),
      { numRuns: 10 },
    );
  });

  it('does not depend on the number of nodes', () => {
    const bend = bendWithGuides({ load: { tension: 20, pullAngle: 120 } });
    const fine = solveBend(bend, 3200).points[0]!;
    const errors = [50, 100, 200, 400].map((nodes) => {
      const tip = solveBend(bend, nodes).points[0]!;
      return Math.hypot(tip.x - fine.x, tip.y - fine.y);
    });
    expect(errors[2]).toBeLessThan(0.001);
    // fourth order: each doubling takes a factor near 16 off
    expect(errors[1]! / errors[0]!).toBeLessThan(0.15);
  });

  it('says so when a bend cannot be followed', () => {
    const bend = bendWithGuides({ load: { tension: 1e7, pullAngle: 175 } });
    expect(() => solveBend(bend)).toThrow(InputError);
  });
});
