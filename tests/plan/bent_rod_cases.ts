import type { BendLayoutCase } from '../../src/plan/bend/bend_layout_case.ts';
import type { BendCase } from '../../src/plan/bend/bent_rod.ts';
import { type Bend, solveBend } from '../../src/plan/bend/elastica.ts';
import { type Stiffness, stiffnessAt } from '../../src/plan/bend/stiffness.ts';

/** A light spinning blank, made up: 1.4 m, thin wall, held at 1.1 m. */
export const lightBlank: Stiffness = {
  stations: [
    { at: 0, diameter: 1.8, wall: 0.6 },
    { at: 1400, diameter: 12, wall: 1 },
  ],
  law: { kind: 'section', modulus: 60 },
};

/** Guides whose line heights grow toward the butt. */
export function layoutCase(guides: number, change: Partial<BendLayoutCase> = {}): BendLayoutCase {
  const side = change.side ?? 'top';
  return {
    stiffness: lightBlank,
    clampAt: 1100,
    load: { tension: 15, pullAngle: 100 },
    side,
    lineHeights: Array.from({ length: guides }, (_, k) => 5 + k),
    tipHeight: 3,
    reel: { at: 1250, height: side === 'top' ? 25 : 45 },
    ...change,
  };
}

/** A bend with seven guides on top. */
export const bendWithGuides = (change: Partial<BendCase> = {}): BendCase => ({
  stiffness: lightBlank,
  clampAt: 1100,
  load: { tension: 15, pullAngle: 110 },
  line: {
    tipOffset: 4,
    guides: [95, 195, 310, 440, 590, 760, 950].map((at, k) => ({ at, offset: 7 + 2 * k })),
    reel: { at: 1250, offset: 30 },
  },
  ...change,
});

const cross = (ax: number, ay: number, bx: number, by: number) => ax * by - ay * bx;

/** Moment (N mm) about a point of the blank of all forces nearer the tip, summed force by force. */
export function momentAt(bend: BendCase, bent: Bend, s: number, x: number, y: number): number {
  const places = [0, ...(bend.line?.guides.map((guide) => guide.at) ?? [])];
  let moment = 0;
  for (const [k, force] of bent.forces.entries()) {
    if (places[k]! > s) continue;
    const at = bent.linePoints[k]!;
    moment += cross(at.x - x, at.y - y, force.x, force.y);
  }
  return moment;
}

/** Strain energy (N mm) of a solved bend: the integral of M^2 / 2 EI, Simpson's rule on each pair of steps. */
export function strainEnergy(bend: BendCase, bent: Bend): number {
  const places = [0, ...(bend.line?.guides.map((guide) => guide.at) ?? []), bend.clampAt];
  let energy = 0;
  for (const [k, from] of places.slice(0, -1).entries()) {
    const points = bent.points.filter((point) => point.s >= from && point.s <= places[k + 1]!);
    // just beyond the guide at `from`, so its own force counts
    const density = points.map(({ s, x, y }) => {
      const inside = Math.min(Math.max(s, from + 1e-9), places[k + 1]! - 1e-9);
      return momentAt(bend, bent, inside, x, y) ** 2 / (2 * stiffnessAt(bend.stiffness, s));
    });
    for (let i = 0; i + 1 < points.length; i++) {
      const h = points[i + 1]!.s - points[i]!.s;
      // cubic through neighbours gives the middle; at the ends a parabola does
      const [a, b, c, d] = [density[i - 1], density[i]!, density[i + 1]!, density[i + 2]];
      const middle =
        a !== undefined && d !== undefined
          ? (9 * (b + c) - a - d) / 16
          : d !== undefined
            ? (3 * b + 6 * c - d) / 8
            : a !== undefined
              ? (3 * c + 6 * b - a) / 8
              : (b + c) / 2;
      energy += (h / 6) * (b + 4 * middle + c);
    }
  }
  return energy;
}

/** Length of line from the reel to the tip-top less its reach along the pull, mm: what the tension works on. */
export function lineTaken(bend: BendCase, bent: Bend): number {
  const pull = (-bend.load.pullAngle * Math.PI) / 180;
  const tip = bent.linePoints[0]!;
  const run = bent.linePoints.slice(1).reduce((sum, point, k) => {
    const outer = bent.linePoints[k]!;
    return sum + Math.hypot(point.x - outer.x, point.y - outer.y);
  }, 0);
  return (bend.line ? run : 0) - tip.x * Math.cos(pull) - tip.y * Math.sin(pull);
}

/** Total potential (N mm): strain energy and what is left of the pull's work. */
export function potential(bend: BendCase, nodes: number): { value: number; taken: number } {
  const bent = solveBend(bend, nodes);
  const taken = lineTaken(bend, bent);
  return { value: strainEnergy(bend, bent) + bend.load.tension * taken, taken };
}
