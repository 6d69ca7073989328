import { type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import type { Ring, RimPoint } from '../geometry/ring.ts';
import { add, addScaled, cross, dot, scale, subtract, unit, type Vector3 } from '../geometry/vector.ts';
import type { RingGuide } from '../plan/plan.ts';

/**
 * The unknowns of one ring, in this order: along, right, up (mm, the centre in the blank's cross-section), lean, yaw (radians),
 * outer and inner radius, half thickness, rounding of the section's corners, half the bore's length (mm).
 */
export type RingState = readonly number[];
export const STATE_SIZE = 10;

export interface RingPrior {
  mean: readonly number[];
  /** standard deviation; infinite for none */
  sigma: readonly number[];
}

/** A ring placed in space by its state, with the directions its derivatives run along. */
export interface PlacedRing {
  ring: Ring;
  along: Vector3;
  right: Vector3;
  up: Vector3;
  /** rotation axes of lean and yaw */
  leanAxis: Vector3;
  yawAxis: Vector3;
}

/** Lean lifts the normal away from the blank, in the plane through the axis and the ring's centre; yaw turns it square to that. */
export function placeRing(axis: BlankAxis, state: RingState): PlacedRing {
  const section = crossSection(axis, state[0]!);
  const [, x, y, lean, yaw] = state as [number, number, number, number, number];
  const distance = Math.hypot(x, y);
  const radial = distance > 1e-9 ? addScaled(scale(section.up, y / distance), section.right, x / distance) : section.up;
  const tangential = cross(section.along, radial);
  const leaned = addScaled(scale(section.along, Math.cos(lean)), radial, Math.sin(lean));
  const normal = unit(addScaled(scale(leaned, Math.cos(yaw)), tangential, Math.sin(yaw)));
  return {
    ring: {
      centre: add(section.point, add(scale(section.right, x), scale(section.up, y))),
      normal,
      outer: state[5]!,
      inner: state[6]!,
      halfThickness: state[7]!,
      rounding: state[8]!,
      boreHalfThickness: state[9]!,
    },
    along: section.along,
    right: section.right,
    up: section.up,
    leanAxis: cross(section.along, radial),
    yawAxis: cross(leaned, tangential),
  };
}

/**
 * How a rim point moves with each unknown, seen along a direction `g` (the photo's normal carried back to space: pixels per mm).
 * The point slides along the surface too, but on a silhouette the surface runs along the line of sight, so that part is not seen.
 */
export function rimDerivative(placed: PlacedRing, rim: RimPoint, g: Vector3, row: Float64Array): void {
  const arm = subtract(rim.point, placed.ring.centre);
  const isOuter = rim.part === 'outline' || rim.part === 'face-outer';
  const radial = dot(g, rim.radial);
  const axial = dot(g, placed.ring.normal);
  row[0] = dot(g, placed.along);
  row[1] = dot(g, placed.right);
  row[2] = dot(g, placed.up);
  row[3] = dot(g, cross(placed.leanAxis, arm));
  row[4] = dot(g, cross(placed.yawAxis, arm));
  row[5] = isOuter ? radial : 0;
  row[6] = isOuter ? 0 : radial;
  row[7] = isOuter ? rim.side * axial : 0;
  row[9] = isOuter ? 0 : rim.side * axial;
  row[8] = radial * (rim.normalRadial + (isOuter ? -1 : 1)) + axial * (rim.normalAxial - rim.side);
}

const RADIAN = Math.PI / 180;

/**
 * What the plan lets one expect of a ring before looking. The ring stands where it stands (along and roll are free); its height is taped on to
 * about half a millimetre; frames bend, so its lean is good to a few degrees; ring sizes are nominal, the visible rims rounded (common
 * practice and measured rings, no source).
 */
export function ringPrior(guide: RingGuide): { shape: RingPrior; height: { mean: number; sigma: number } } {
  const wall = (guide.ringOuter - guide.ringInner) / 2;
  const half = 0.85 + 0.0375 * guide.ringOuter;
  const rounding = Math.min(0.35, 0.4 * wall);
  return {
    shape: {
      mean: [
        0,
        0,
        0,
        guide.lean * RADIAN,
        0,
        guide.ringOuter / 2 - 0.06,
        guide.ringInner / 2 + 0.1,
        half,
        rounding,
        half,
      ],
      sigma: [
        Number.POSITIVE_INFINITY,
        Number.POSITIVE_INFINITY,
        Number.POSITIVE_INFINITY,
        3 * RADIAN,
        1.5 * RADIAN,
        0.08 + 0.008 * guide.ringOuter,
        0.1 + 0.01 * guide.ringOuter,
        0.3 * half,
        0.35 * rounding,
        0.3 * half,
      ],
    },
    height: { mean: guide.height, sigma: 0.5 + 0.02 * guide.height },
  };
}
