import { type BendCase, type BendTrace, type RodPoint, traceBend } from './bent_rod.ts';
import { InputError } from '../input_error.ts';
import { continuation, newton } from '../../numerics/newton.ts';
import { stiffnessAt } from './stiffness.ts';

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

/** A solved shape: headings at the tip and of each piece of line (radians), and the points the march begins anew at. */
interface Shape {
  headings: number[];
  restarts: RodPoint[];
}

/**
 * How far a change at the tip may grow along one march, as its logarithm: a beam under tension T shortens its waves to
 * sqrt(EI / T), so a change grows by e over each such length.
 */
const longestGrowth = 1.5;
/** Below this growth over the whole blank one march from the tip does. */
const harmlessGrowth = 7;
/** Beyond this growth the blank hangs from the hold like a thread, and the figures say nothing of a rod. */
const mostGrowth = 40;

/** Arc lengths at which the march begins anew; none for bends that one march can steer. */
function restartPlaces({ stiffness, clampAt, load }: BendCase): number[] {
  const pieces = 300;
  // most of the growth is near the thin tip: the places looked at crowd there
  const at = (i: number) => clampAt * (i / pieces) ** 3;
  const growths = Array.from({ length: pieces }, (_, i) => {
    const h = at(i + 1) - at(i);
    return h * Math.sqrt(load.tension / stiffnessAt(stiffness, at(i) + h / 2));
  });
  const whole = growths.reduce((sum, growth) => sum + growth, 0);
  if (whole < harmlessGrowth) return [];
  if (!(whole <= mostGrowth)) throw notFollowed(load);
  const marches = Math.ceil(whole / longestGrowth);
  let sum = 0;
  return growths.flatMap((growth, i) => {
    const before = Math.floor((sum / whole) * marches);
    sum += growth;
    const after = Math.floor((sum / whole) * marches);
    return after > before && after < marches ? [at(i + 1)] : [];
  });
}

const notFollowed = ({ tension, pullAngle }: BendCase['load']): InputError =>
  new InputError(
    `The bend under ${tension.toFixed(1)} N at ${pullAngle.toFixed(0)} degrees could not be followed; try a lighter load or a smaller angle.`,
  );

/** A shape as one list of unknowns and back; lengths as parts of the clamp's arc length, as the mismatch has them. */
const unknownsOf = ({ headings, restarts }: Shape, clampAt: number): number[] => [
  ...headings,
  ...restarts.flatMap(({ x, y, theta }) => [x / clampAt, y / clampAt, theta]),
];
function shapeOf(x: readonly number[], places: readonly number[], clampAt: number): Shape {
  const count = x.length - 3 * places.length;
  return {
    headings: x.slice(0, count),
    restarts: places.map((s, k) => {
      const [px, py, theta] = x.slice(count + 3 * k, count + 3 * k + 3) as [number, number, number];
      return { s, x: px * clampAt, y: py * clampAt, theta };
    }),
  };
}

/**
 * The bend's shape, followed from the straight rod: the tension grows first with the pull at most square to the handle,
 * then the pull swings on. Where the load bends the blank so far that one march cannot be steered, several are joined
 * (multiple shooting: Stoer & Bulirsch, Introduction to Numerical Analysis, 7.3.5). Throws InputError where no bend can
 * be followed.
 */
function solveShape(bend: BendCase, nodes: number): Shape {
  const { clampAt } = bend;
  const { tension, pullAngle } = bend.load;
  const first = Math.min(pullAngle, 90);
  const places = restartPlaces(bend);
  const solveWith = (load: BendCase['load'], guess: readonly number[]) => {
    const loaded = { ...bend, load };
    const mismatch = (x: readonly number[]) => {
      const { headings, restarts } = shapeOf(x, places, clampAt);
      const unknowns = { tipHeading: headings[0]!, lineHeadings: headings.slice(1), restarts };
      return traceBend(loaded, unknowns, nodes, false).mismatch;
    };
    return newton(mismatch, guess, {
      steps: guess.map(() => 1e-7),
      reach: guess.map(() => angleReach),
      tolerance: angleTolerance,
      allowed: (x) => x.every((unknown) => Math.abs(unknown) < 4),
    });
  };
  const straight = { headings: straightStart(bend), restarts: places.map((s) => ({ s, x: -s, y: 0, theta: 0 })) };
  const loading = continuation(
    (k, guess) => solveWith({ tension: k * tension, pullAngle: first }, guess),
    unknownsOf(straight, clampAt),
    0.25,
    1 / 4000,
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
    throw notFollowed(bend.load);
  }
  return shapeOf(swinging.solution, places, clampAt);
}

/**
 * The headings of the solved bend alone: at the tip, then of each piece of line, radians. Throws InputError as
 * `solveBend`.
 */
export const solveHeadings = (bend: BendCase, nodes: number): number[] => solveShape(bend, nodes).headings;

/** The bend that belongs to solved unknowns. */
export function describeBend(
  bend: BendCase,
  headings: readonly number[],
  nodes: number,
  restarts: readonly RodPoint[] = [],
): Bend {
  const unknowns = { tipHeading: headings[0]!, lineHeadings: headings.slice(1), restarts };
  const trace: BendTrace = traceBend(bend, unknowns, nodes);
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
  const { headings, restarts } = solveShape(bend, nodes);
  return describeBend(bend, headings, nodes, restarts);
}
