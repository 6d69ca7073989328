import { type BendCase, type BendTrace, type RodPoint, traceBend } from './bent_rod.ts';
import { InputError } from '../input_error.ts';
import { continuation, newton } from '../../numerics/newton.ts';

/** A solved bend. Frame as in BendCase, with the clamp at the origin; mm, newtons, degrees. */
export interface Bend {
  /** blank's axis from tip to clamp */
  points: RodPoint[];
  /** line points: tip-top, guides from tip to butt, reel; the tip alone where no line runs */
  linePoints: { x: number; y: number }[];
  /** turn of the line at the tip-top and at each guide, degrees, positive the way the rod bends */
  turns: number[];
  /** force of the line on tip-top and guides, newtons */
  forces: { x: number; y: number }[];
  /** bending moment at the clamp, N mm, negative the way the load bends */
  clampMoment: number;
}

/** Angles one continuation step may change; more may be another branch of the elastica. */
const angleReach = 0.7;
export const angleTolerance = 1e-11;

/** Unknowns as one list: heading at the tip, then of each piece of line. */
export const pack = (tipHeading: number, lineHeadings: readonly number[]): number[] => [tipHeading, ...lineHeadings];

function straightStart(bend: BendCase): number[] {
  const { line } = bend;
  if (!line) return [0];
  const places = [{ at: 0, offset: line.tipOffset }, ...line.guides, line.reel];
  const headings = places.slice(1).map((next, k) => {
    const outer = places[k]!;
    return Math.atan2(outer.offset - next.offset, next.at - outer.at);
  });
  return pack(0, headings);
}

/**
 * The bend's unknowns (tip heading, then line headings; radians), followed from the straight rod: the tension grows first
 * with the pull at most square to the handle, then the pull swings on. Throws InputError where no bend can be followed.
 */
export function solveHeadings(bend: BendCase, nodes: number): number[] {
  const { tension, pullAngle } = bend.load;
  const first = Math.min(pullAngle, 90);
  const solveWith = (load: BendCase['load'], guess: readonly number[]) => {
    const loaded = { ...bend, load };
    return newton(
      (x) => traceBend(loaded, { tipHeading: x[0]!, lineHeadings: x.slice(1) }, nodes, false).mismatch,
      guess,
      {
        steps: guess.map(() => 1e-7),
        reach: guess.map(() => angleReach),
        tolerance: angleTolerance,
        allowed: (x) => x.every((angle) => Math.abs(angle) < 4),
      },
    );
  };
  const loading = continuation(
    (k, guess) => solveWith({ tension: k * tension, pullAngle: first }, guess),
    straightStart(bend),
    0.25,
  );
  const swinging =
    loading.reached === 1 && pullAngle > first
      ? continuation(
          (k, guess) => solveWith({ tension, pullAngle: first + k * (pullAngle - first) }, guess),
          loading.solution,
          0.25,
        )
      : loading;
  if (swinging.reached < 1) {
    throw new InputError(
      `The bend under ${tension.toFixed(1)} N at ${pullAngle.toFixed(0)} degrees could not be followed; try a lighter load or a smaller angle.`,
    );
  }
  return swinging.solution;
}

/** The bend that belongs to solved unknowns. */
export function describeBend(bend: BendCase, headings: readonly number[], nodes: number): Bend {
  const trace: BendTrace = traceBend(bend, { tipHeading: headings[0]!, lineHeadings: headings.slice(1) }, nodes);
  const clamp = trace.points.at(-1)!;
  const moved = <P extends { x: number; y: number }>(p: P): P => ({ ...p, x: p.x - clamp.x, y: p.y - clamp.y });
  const { tension } = bend.load;
  const pull = (-bend.load.pullAngle * Math.PI) / 180;
  const outward = bend.line ? [pull, ...headings.slice(1)] : [pull];
  const turns = bend.line ? outward.slice(1).map((h, k) => ((h - outward[k]!) * 180) / Math.PI) : [];
  const forces = bend.line
    ? outward.slice(1).map((h, k) => ({
        x: tension * (Math.cos(outward[k]!) - Math.cos(h)),
        y: tension * (Math.sin(outward[k]!) - Math.sin(h)),
      }))
    : [{ x: tension * Math.cos(pull), y: tension * Math.sin(pull) }];
  return {
    points: trace.points.map(moved),
    linePoints: trace.linePoints.map(moved),
    turns,
    forces,
    clampMoment: trace.clampMoment,
  };
}

/** Solves a bend on about `nodes` steps. Throws InputError where no bend can be followed. */
export function solveBend(bend: BendCase, nodes = 200): Bend {
  return describeBend(bend, solveHeadings(bend, nodes), nodes);
}
