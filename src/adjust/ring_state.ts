import { besideAxis, type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import type { Ring, RimPoint } from '../geometry/ring.ts';
import { addScaled, cross, dot, scale, subtract, unit, type Vector3 } from '../geometry/vector.ts';
import type { RingGuide } from '../plan/plan.ts';

/**
 * The unknowns of one ring: along, right, up (mm, the centre in the blank's cross-section), lean, yaw (radians), outer
 * and inner radius, half thickness, rounding of the section's corners, half the bore's length (mm). Vectors and
 * matrices have them in this order.
 */
export const ringUnknowns = [
  'along',
  'right',
  'up',
  'lean',
  'yaw',
  'outer',
  'inner',
  'halfThickness',
  'rounding',
  'boreHalfThickness',
] as const;

export type RingUnknown = (typeof ringUnknowns)[number];
export type RingState = Readonly<Record<RingUnknown, number>>;

/** Where each unknown stands in vectors. */
export const ringColumn = Object.fromEntries(ringUnknowns.map((name, i) => [name, i])) as Record<RingUnknown, number>;

/** The same for each unknown as `of` has it. */
export const eachUnknown = (of: (name: RingUnknown, column: number) => number): RingState =>
  Object.fromEntries(ringUnknowns.map((name, i) => [name, of(name, i)])) as RingState;

/** A ring's centre in the blank's cross-section, mm. */
export const ringPlaceNames = ['along', 'right', 'up'] as const;
export type RingPlaceName = (typeof ringPlaceNames)[number];

export interface RingPrior {
  mean: RingState;
  /** standard deviation; infinite for none */
  sigma: RingState;
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

/**
 * Lean lifts the normal away from the blank, in the plane through the axis and the ring's centre; yaw turns it square
 * to that.
 */
export function placeRing(axis: BlankAxis, state: RingState): PlacedRing {
  const section = crossSection(axis, state.along);
  const { right: x, up: y, lean, yaw } = state;
  const distance = Math.hypot(x, y);
  const radial = distance > 1e-9 ? addScaled(scale(section.up, y / distance), section.right, x / distance) : section.up;
  const tangential = cross(section.along, radial);
  const leaned = addScaled(scale(section.along, Math.cos(lean)), radial, Math.sin(lean));
  const normal = unit(addScaled(scale(leaned, Math.cos(yaw)), tangential, Math.sin(yaw)));
  return {
    ring: {
      centre: besideAxis(section, x, y),
      normal,
      outer: state.outer,
      inner: state.inner,
      halfThickness: state.halfThickness,
      rounding: state.rounding,
      boreHalfThickness: state.boreHalfThickness,
    },
    along: section.along,
    right: section.right,
    up: section.up,
    leanAxis: cross(section.along, radial),
    yawAxis: cross(leaned, tangential),
  };
}

/**
 * How a rim point moves with each unknown, seen along a direction `g` (the photo's normal carried back to space: pixels
 * per mm); by `ringColumn`. The point slides along the surface too, but on a silhouette the surface runs along the line
 * of sight, so that part is not seen.
 */
export function rimDerivative(placed: PlacedRing, rim: RimPoint, g: Vector3, row: Float64Array): void {
  const arm = subtract(rim.point, placed.ring.centre);
  const isOuter = rim.part === 'outline' || rim.part === 'face-outer';
  const radial = dot(g, rim.radial);
  const axial = dot(g, placed.ring.normal);
  const at = ringColumn;
  row[at.along] = dot(g, placed.along);
  row[at.right] = dot(g, placed.right);
  row[at.up] = dot(g, placed.up);
  row[at.lean] = dot(g, cross(placed.leanAxis, arm));
  row[at.yaw] = dot(g, cross(placed.yawAxis, arm));
  row[at.outer] = isOuter ? radial : 0;
  row[at.inner] = isOuter ? 0 : radial;
  row[at.halfThickness] = isOuter ? rim.side * axial : 0;
  row[at.rounding] = radial * (rim.normalRadial + (isOuter ? -1 : 1)) + axial * (rim.normalAxial - rim.side);
  row[at.boreHalfThickness] = isOuter ? 0 : rim.side * axial;
}

const RADIAN = Math.PI / 180;

/** What is known of a ring before its rims are read: its state (along, right and up are free), and its height, mm. */
export interface ExpectedRing {
  shape: RingPrior;
  /** from the blank's surface to the centre */
  height: { mean: number; sigma: number };
}

/**
 * How rings differ from what is written of them, and what holds for those of which nothing is written (common practice
 * and measured rings, no source).
 */
export const ringShapes = {
  /** the visible rims lie inside the nominal outer circle and outside the bore's, mm: a ring's section is rounded */
  visible: { outer: -0.06, inner: 0.1 },
  /**
   * half a ring's thickness along its axis, mm: grows with its diameter. Rings of round section have some 0.5 mm where
   * deep ceramic ones have 1.1 (from memory, no source); one taken for thicker than it is lies too near to the camera,
   * where photos look from one side only.
   */
  halfThickness: { base: 0.7, ofDiameter: 0.03, sigma: 0.3 },
  /** rounding of its section's corners, mm, and as a share of its wall */
  rounding: { most: 0.35, ofWall: 0.4, sigma: 0.35 },
  /**
   * a planned ring: nominal sizes, a height taped on to about half a millimetre, a frame that bends by a few degrees
   */
  planned: { lean: 3, yaw: 1.5, outer: [0.08, 0.008], inner: [0.1, 0.01], height: [0.5, 0.02] },
  /** a ring of unknown make: bore as a share of its outer circle, lean in degrees by its radius */
  unknown: { bore: 0.73, boreSigma: 0.06, lean: { perMm: 1.2, from: 3, most: 12, sigma: 5 } },
} as const;

/** What the plan lets one expect of a ring. Where it stands along and how it is rolled are free. */
export function plannedRing(guide: RingGuide): ExpectedRing {
  const { visible, planned } = ringShapes;
  return {
    shape: expectedShape({
      lean: { mean: guide.lean, sigma: planned.lean },
      outer: {
        mean: guide.ringOuter / 2 + visible.outer,
        sigma: planned.outer[0] + planned.outer[1] * guide.ringOuter,
      },
      inner: {
        mean: guide.ringInner / 2 + visible.inner,
        sigma: planned.inner[0] + planned.inner[1] * guide.ringOuter,
      },
      diameter: guide.ringOuter,
      wall: (guide.ringOuter - guide.ringInner) / 2,
    }),
    height: { mean: guide.height, sigma: planned.height[0] + planned.height[1] * guide.height },
  };
}

/** What can be expected of a ring that is only known by the size and height it shows, mm with standard deviations. */
export function unknownRing(
  outer: { mean: number; sigma: number },
  height: { mean: number; sigma: number },
): ExpectedRing {
  const { visible, unknown } = ringShapes;
  const bore = unknown.bore * outer.mean;
  return {
    shape: expectedShape({
      lean: {
        mean: Math.min(Math.max(unknown.lean.perMm * (outer.mean - unknown.lean.from), 0), unknown.lean.most),
        sigma: unknown.lean.sigma,
      },
      outer: { mean: outer.mean + visible.outer, sigma: outer.sigma },
      inner: {
        mean: bore + visible.inner,
        sigma: Math.hypot(unknown.bore * outer.sigma, unknown.boreSigma * outer.mean),
      },
      diameter: 2 * outer.mean,
      wall: outer.mean - bore,
    }),
    height,
  };
}

interface Expectation {
  /** degrees */
  lean: { mean: number; sigma: number };
  /** radii of the visible rims, mm */
  outer: { mean: number; sigma: number };
  inner: { mean: number; sigma: number };
  diameter: number;
  wall: number;
}

function expectedShape({ lean, outer, inner, diameter, wall }: Expectation): RingPrior {
  const { halfThickness, rounding: corner, planned } = ringShapes;
  const half = halfThickness.base + halfThickness.ofDiameter * diameter;
  const rounding = Math.min(corner.most, corner.ofWall * wall);
  const free = Number.POSITIVE_INFINITY;
  return {
    mean: {
      along: 0,
      right: 0,
      up: 0,
      lean: lean.mean * RADIAN,
      yaw: 0,
      outer: outer.mean,
      inner: inner.mean,
      halfThickness: half,
      rounding,
      boreHalfThickness: half,
    },
    sigma: {
      along: free,
      right: free,
      up: free,
      lean: lean.sigma * RADIAN,
      yaw: planned.yaw * RADIAN,
      outer: outer.sigma,
      inner: inner.sigma,
      halfThickness: halfThickness.sigma * half,
      rounding: corner.sigma * rounding,
      boreHalfThickness: halfThickness.sigma * half,
    },
  };
}
