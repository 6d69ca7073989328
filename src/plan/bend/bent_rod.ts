import { type Stiffness, stiffnessAt } from './stiffness.ts';

/**
 * The bent rod in its own plane. Frame: x along the handle from butt to tip, y up, mm; the load pulls down. `s` is arc
 * length from the tip. `theta` is the heading of the blank from butt to tip, radians from x, 0 at the clamp.
 *
 * The beam is Euler's elastica with varying stiffness: d(theta)/ds = -M / EI, dr/ds = -(cos theta, sin theta), M the
 * moment about r of all forces nearer the tip (Love, Mathematical Theory of Elasticity, ch. XIX; Bisshopp & Drucker 1945
 * for the uniform case). The line runs without friction through the guides at tension T, so each guide is pushed by
 * T times the difference of the line's headings before and after it. The part of rod and line beyond a cut between guides
 * k and k + 1 then carries just two forces: the pull T d at the tip-top and the line's T at the cut, along the straight
 * piece of line; so M needs no sum over guides.
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
}

export interface BendTrace {
  /** zero when line, guides and clamp agree: one for each piece of line, then the clamp's heading */
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
 * all; steps end at guides and diameter stations, where M or EI has a kink.
 */
export function traceBend(bend: BendCase, unknowns: BendUnknowns, nodes: number, keepPoints = true): BendTrace {
  const { stiffness, clampAt, line } = bend;
  const { tension } = bend.load;
  const pull = (-bend.load.pullAngle * Math.PI) / 180;
  const dx = Math.cos(pull);
  const dy = Math.sin(pull);
  let s = 0;
  let x = 0;
  let y = 0;
  let theta = unknowns.tipHeading;
  const points: RodPoint[] = [{ s, x, y, theta }];
  const onLine = (offset: number) => ({ x: x - offset * Math.sin(theta), y: y + offset * Math.cos(theta) });
  const linePoints = [line ? onLine(line.tipOffset) : { x, y }];
  const mismatch: number[] = [];
  const tip = linePoints[0]!;
  const pieces = line ? line.guides.length + 1 : 1;
  let forceX = 0;
  let forceY = 0;
  let turning = 0;
  // a call for each stage would cost more than the arithmetic, so positions inside a stage are passed as they are
  const bending = (ei: number, px: number, py: number) => -(turning - (px * forceY - py * forceX)) / ei;

  for (let k = 0; k < pieces; k++) {
    const start = linePoints[k]!;
    const heading = line ? unknowns.lineHeadings[k]! : 0;
    const wx = line ? Math.cos(heading) : 0;
    const wy = line ? Math.sin(heading) : 0;
    forceX = tension * (dx - wx);
    forceY = tension * (dy - wy);
    turning = tension * (tip.x * dy - tip.y * dx - (start.x * wy - start.y * wx));
    const end = line?.guides[k]?.at ?? clampAt;
    const stops = stiffness.stations.map((station) => station.at).filter((at) => at > s && at < end);
    for (const stop of [...stops, end]) {
      const from = s;
      const steps = Math.max(1, Math.round((nodes * (stop - from)) / clampAt));
      const h = (stop - from) / steps;
      let eiStart = stiffnessAt(stiffness, from);
      for (let i = 0; i < steps; i++) {
        const eiMiddle = stiffnessAt(stiffness, from + (i + 0.5) * h);
        const eiEnd = stiffnessAt(stiffness, from + (i + 1) * h);
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
        if (keepPoints) points.push({ s: i + 1 === steps ? stop : from + (i + 1) * h, x, y, theta });
      }
      s = stop;
    }
    if (!line) continue;
    const guide = line.guides[k];
    if (guide) {
      linePoints.push(onLine(guide.offset));
    } else {
      const straight = line.reel.at - clampAt;
      const reel = onLine(line.reel.offset);
      linePoints.push({ x: reel.x - straight * Math.cos(theta), y: reel.y - straight * Math.sin(theta) });
    }
    const next = linePoints[k + 1]!;
    const gx = start.x - next.x;
    const gy = start.y - next.y;
    mismatch.push((gx * wy - gy * wx) / Math.hypot(gx, gy));
  }
  mismatch.push(theta);
  return { mismatch, points, linePoints, clampMoment: turning - (x * forceY - y * forceX) };
}
