import { sectionAt } from '../taper.ts';
import { type Stiffness, stiffnessAt } from './stiffness.ts';

/**
 * The bent rod in its own plane. Frame: x along the handle from butt to tip, y up, mm; the load pulls down. `s` is arc
 * length from the tip. `theta` is the heading of the blank from butt to tip, radians from x, 0 at the clamp.
 *
 * The beam is Euler's elastica with varying stiffness: d(theta)/ds = -M / EI, dr/ds = -(cos theta, sin theta), M the
 * moment about r of all forces nearer the tip (Love, Mathematical Theory of Elasticity, ch. XIX; Bisshopp & Drucker
 * 1945 for the uniform case). The line runs without friction through the guides at tension T, so each guide is pushed
 * by T times the difference of the line's headings before and after it. The part of rod and line beyond a cut between
 * guides k and k + 1 then carries just two forces: the pull T d at the tip-top and the line's T at the cut, along the
 * straight piece of line; so M needs no sum over guides.
 */
export interface BendCase {
  stiffness: Stiffness;
  /** arc length where the blank is held rigidly, mm from the tip; everything beyond it is straight */
  clampAt: number;
  load: Load;
  /** absent: the load hangs on the tip itself, and no line runs along the rod */
  line?: LineRun;
}

export interface Load {
  /** newtons, the line's tension */
  tension: number;
  /** heading of the pull, degrees down from straight ahead of the handle: 90 is square to it */
  pullAngle: number;
}

/** Where the line runs, as signed distances from the blank's axis, mm: positive above, negative underneath. */
export interface LineRun {
  tipOffset: number;
  /** from tip to butt */
  guides: readonly { at: number; offset: number }[];
  /** where the line leaves the reel; `at` is beyond every guide */
  reel: { at: number; offset: number };
}

export interface RodPoint {
  s: number;
  x: number;
  y: number;
  theta: number;
}

/** What a bend is solved for: heading at the tip and of each straight piece of line (outward), radians. */
export interface BendUnknowns {
  tipHeading: number;
  lineHeadings: readonly number[];
  /**
   * Points at which the march begins anew (multiple shooting), tip to clamp; none when absent. Where the load bends the
   * blank far, a change at the tip grows so fast along it that one march from the tip cannot be steered.
   */
  restarts?: readonly RodPoint[];
}

export interface BendTrace {
  /**
   * zero when line, guides and clamp agree: three for each restart (x and y as parts of the clamp's arc length, then
   * the heading), one for each piece of line, then the clamp's heading; in the order in which the march meets them
   */
  mismatch: number[];
  /** nodes from tip to clamp, tip at the origin */
  points: RodPoint[];
  /** line points: tip-top, guides, reel */
  linePoints: { x: number; y: number }[];
  /** moment (N mm) just outside the clamp */
  clampMoment: number;
}

/**
 * Marches from the tip to the clamp with given unknowns, classical Runge-Kutta of fourth order, about `nodes` steps in
 * all; steps end at guides and diameter stations, where M or EI has a kink, and are short where the blank is thin.
 */
export function traceBend(bend: BendCase, unknowns: BendUnknowns, nodes: number, keepPoints = true): BendTrace {
  const { stiffness, clampAt, line } = bend;
  const { tension } = bend.load;
  const pull = (-bend.load.pullAngle * Math.PI) / 180;
  const dx = Math.cos(pull);
  const dy = Math.sin(pull);
  const at: RodPoint = { s: 0, x: 0, y: 0, theta: unknowns.tipHeading };
  const points: RodPoint[] = [{ ...at }];
  const linePoints = [line ? beside(at, line.tipOffset) : { x: at.x, y: at.y }];
  const mismatch: number[] = [];
  const restarts = unknowns.restarts ?? [];
  let restart = 0;
  const tip = linePoints[0]!;
  const pieces = line ? line.guides.length + 1 : 1;
  const force: SectionForce = { x: 0, y: 0, turning: 0 };
  const share = stepShare(stiffness, clampAt, nodes);
  for (let k = 0; k < pieces; k++) {
    const start = linePoints[k]!;
    const heading = line ? unknowns.lineHeadings[k]! : 0;
    const wx = line ? Math.cos(heading) : 0;
    const wy = line ? Math.sin(heading) : 0;
    force.x = tension * (dx - wx);
    force.y = tension * (dy - wy);
    force.turning = tension * (tip.x * dy - tip.y * dx - (start.x * wy - start.y * wx));
    const end = line?.guides[k]?.at ?? clampAt;
    const stops = [...stiffness.stations.map(({ at }) => at), ...restarts.map((point) => point.s)]
      .filter((s) => s > at.s && s < end)
      .toSorted((a, b) => a - b);
    for (const stop of [...stops, end]) {
      march(stiffness, stepsBetween(stiffness, at.s, stop, share), force, at, keepPoints ? points : undefined);
      at.s = stop;
      const anew = restarts[restart];
      if (anew && anew.s === stop) {
        mismatch.push((at.x - anew.x) / clampAt, (at.y - anew.y) / clampAt, at.theta - anew.theta);
        ({ x: at.x, y: at.y, theta: at.theta } = anew);
        restart++;
      }
    }
    if (!line) continue;
    const guide = line.guides[k];
    if (guide) {
      linePoints.push(beside(at, guide.offset));
    } else {
      const straight = line.reel.at - clampAt;
      const reel = beside(at, line.reel.offset);
      linePoints.push({ x: reel.x - straight * Math.cos(at.theta), y: reel.y - straight * Math.sin(at.theta) });
    }
    const next = linePoints[k + 1]!;
    const gx = start.x - next.x;
    const gy = start.y - next.y;
    mismatch.push((gx * wy - gy * wx) / Math.hypot(gx, gy));
  }
  mismatch.push(at.theta);
  return { mismatch, points, linePoints, clampMoment: force.turning - (at.x * force.y - at.y * force.x) };
}

/** A point of the line, `offset` mm to the side of a point of the rod. */
const beside = ({ x, y, theta }: RodPoint, offset: number) => ({
  x: x - offset * Math.sin(theta),
  y: y + offset * Math.cos(theta),
});

/** What bends the rod inside one piece: the force on a section (N) and its moment about the origin (N mm). */
interface SectionForce {
  x: number;
  y: number;
  turning: number;
}

/** Marches `at` along a grid of arc lengths, one Runge-Kutta step a cell. */
function march(
  stiffness: Stiffness,
  grid: readonly number[],
  force: Readonly<SectionForce>,
  at: RodPoint,
  points: RodPoint[] | undefined,
): void {
  const { x: forceX, y: forceY, turning } = force;
  let { x, y, theta } = at;
  // a call for each stage would cost more than the arithmetic, so positions inside a stage are passed as they are
  const bending = (ei: number, px: number, py: number) => -(turning - (px * forceY - py * forceX)) / ei;
  let eiStart = stiffnessAt(stiffness, at.s);
  for (let i = 1; i < grid.length; i++) {
    const h = grid[i]! - grid[i - 1]!;
    const eiMiddle = stiffnessAt(stiffness, grid[i - 1]! + h / 2);
    const eiEnd = stiffnessAt(stiffness, grid[i]!);
    const c1 = -Math.cos(theta);
    const s1 = -Math.sin(theta);
    const b1 = bending(eiStart, x, y);
    const t2 = theta + (h / 2) * b1;
    const c2 = -Math.cos(t2);
    const s2 = -Math.sin(t2);
    const b2 = bending(eiMiddle, x + (h / 2) * c1, y + (h / 2) * s1);
    const t3 = theta + (h / 2) * b2;
    const c3 = -Math.cos(t3);
    const s3 = -Math.sin(t3);
    const b3 = bending(eiMiddle, x + (h / 2) * c2, y + (h / 2) * s2);
    const t4 = theta + h * b3;
    const c4 = -Math.cos(t4);
    const s4 = -Math.sin(t4);
    const b4 = bending(eiEnd, x + h * c3, y + h * s3);
    x += (h / 6) * (c1 + 2 * c2 + 2 * c3 + c4);
    y += (h / 6) * (s1 + 2 * s2 + 2 * s3 + s4);
    theta += (h / 6) * (b1 + 2 * b2 + 2 * b3 + b4);
    eiStart = eiEnd;
    if (points) points.push({ s: grid[i]!, x, y, theta });
  }
  at.x = x;
  at.y = y;
  at.theta = theta;
}

/** Steps per millimetre of arc length and per unit of the diameter's fourth root: half of all steps go by each. */
interface StepShare {
  perLength: number;
  perRoot: number;
}

/**
 * EI goes about with the fourth power of the diameter, so most of the bending sits where the blank is thin: equal steps
 * of the diameter's fourth root are short there.
 */
const rootAt = (stiffness: Stiffness, s: number): number =>
  Math.sqrt(Math.sqrt(sectionAt(stiffness.stations, s).diameter));

function stepShare(stiffness: Stiffness, clampAt: number, nodes: number): StepShare {
  const places = [0, ...stiffness.stations.map(({ at }) => at).filter((at) => at > 0 && at < clampAt), clampAt];
  const roots = places.map((at) => rootAt(stiffness, at));
  const change = roots.slice(1).reduce((sum, root, i) => sum + Math.abs(root - roots[i]!), 0);
  return change > 1e-3
    ? { perLength: nodes / 2 / clampAt, perRoot: nodes / 2 / change }
    : { perLength: nodes / clampAt, perRoot: 0 };
}

/** The ends of the steps between two places with no station between them, both included. */
function stepsBetween(stiffness: Stiffness, from: number, to: number, { perLength, perRoot }: StepShare): number[] {
  const [first, last] = [rootAt(stiffness, from), rootAt(stiffness, to)];
  const count = Math.max(1, Math.round(perLength * (to - from) + perRoot * Math.abs(last - first)));
  const conical = Math.abs(last - first) > 1e-3 * first;
  const [thin, thick] = [first ** 4, last ** 4];
  return Array.from({ length: count + 1 }, (_, i) => {
    if (i === 0 || i === count) return i === 0 ? from : to;
    const root = first + ((last - first) * i) / count;
    return conical ? from + ((to - from) * (root ** 4 - thin)) / (thick - thin) : from + ((to - from) * i) / count;
  });
}
