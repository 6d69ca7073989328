import { add, addScaled, cross, dot, scale, subtract, unit, type Vector3 } from './vector.ts';

/**
 * The blank's axis as a table: at evenly spaced arc lengths `s = from + i * step` (mm from the tip end of the bare
 * blank) the point on the axis (bench frame, mm) and the blank's radius (mm). Between rows a cubic Hermite curve
 * through the points (Catmull and Rom 1974) is meant; beyond the ends, its tangent.
 */
export interface BlankAxis {
  from: number;
  step: number;
  points: readonly Vector3[];
  radii: readonly number[];
}

/** The cross-section's frame at one place: unit vectors, right-handed in the order along, right, up. */
export interface CrossSection {
  point: Vector3;
  /** along the axis from tip to butt */
  along: Vector3;
  /** square to the axis, away from the bench */
  up: Vector3;
  /** to the right as seen from the butt looking toward the tip */
  right: Vector3;
  radius: number;
}

function locate(axis: BlankAxis, s: number): { i: number; t: number } {
  const last = axis.points.length - 2;
  const place = (s - axis.from) / axis.step;
  const i = Math.min(Math.max(Math.floor(place), 0), last);
  return { i, t: place - i };
}

function slopeAt(axis: BlankAxis, i: number): Vector3 {
  const a = Math.max(i - 1, 0);
  const b = Math.min(i + 1, axis.points.length - 1);
  return scale(subtract(axis.points[b]!, axis.points[a]!), 1 / (b - a));
}

/** The point on the axis at arc length `s`, bench frame, mm. */
export function axisPoint(axis: BlankAxis, s: number): Vector3 {
  const { i, t } = locate(axis, s);
  const p = axis.points[i]!;
  const q = axis.points[i + 1]!;
  const m = slopeAt(axis, i);
  const n = slopeAt(axis, i + 1);
  if (t < 0) return addScaled(p, m, t);
  if (t > 1) return addScaled(q, n, t - 1);
  const t2 = t * t;
  const t3 = t2 * t;
  return add(
    add(scale(p, 2 * t3 - 3 * t2 + 1), scale(m, t3 - 2 * t2 + t)),
    add(scale(q, -2 * t3 + 3 * t2), scale(n, t3 - t2)),
  );
}

/** Unit tangent at arc length `s`, from tip to butt, bench frame. */
export function axisTangent(axis: BlankAxis, s: number): Vector3 {
  const h = axis.step / 4;
  return unit(subtract(axisPoint(axis, s + h), axisPoint(axis, s - h)));
}

/** The blank's radius at arc length `s`, mm; linear between rows, held beyond the ends. */
export function blankRadius(axis: BlankAxis, s: number): number {
  const { i, t } = locate(axis, s);
  const k = Math.min(Math.max(t, 0), 1);
  return axis.radii[i]! * (1 - k) + axis.radii[i + 1]! * k;
}

/** The point so far to the right of the axis and above it in a cross-section, mm, bench frame. */
export const besideAxis = ({ point, right, up }: CrossSection, toRight: number, upward: number): Vector3 =>
  add(point, add(scale(right, toRight), scale(up, upward)));

/** The cross-section's frame at arc length `s`. */
export function crossSection(axis: BlankAxis, s: number): CrossSection {
  const along = axisTangent(axis, s);
  const bench: Vector3 = [0, 0, 1];
  const up = unit(addScaled(bench, along, -dot(bench, along)));
  return { point: axisPoint(axis, s), along, up, right: cross(up, along), radius: blankRadius(axis, s) };
}

/**
 * Unit direction at `roll` (degrees) about the axis: 0 is up from the bench, positive clockwise as seen from the butt
 * looking toward the tip.
 */
export function rollDirection(section: CrossSection, roll: number): Vector3 {
  const angle = (roll * Math.PI) / 180;
  return addScaled(scale(section.up, Math.cos(angle)), section.right, Math.sin(angle));
}

/** Roll (degrees, as in `rollDirection`) of a bench point about the axis at this cross-section. */
export function rollOf(section: CrossSection, point: Vector3): number {
  const d = subtract(point, section.point);
  return (Math.atan2(dot(d, section.right), dot(d, section.up)) * 180) / Math.PI;
}

/** Arc length (mm) of the axis point nearest to a bench point: Newton's iteration on the square foot, from `start`. */
export function nearestArcLength(axis: BlankAxis, point: Vector3, start: number): number {
  let s = start;
  for (let i = 0; i < 20; i++) {
    const move = dot(subtract(point, axisPoint(axis, s)), axisTangent(axis, s));
    s += move;
    if (Math.abs(move) < 1e-9) break;
  }
  return s;
}
