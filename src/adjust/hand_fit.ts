import { type BlankAxis, blankRadius, crossSection, rollDirection } from '../geometry/blank_axis.ts';
import { type Camera, cameraCentre, project, ray } from '../geometry/camera.ts';
import {
  add,
  addScaled,
  cross,
  dot,
  norm,
  type Pixel,
  scale,
  subtract,
  unit,
  type Vector3,
} from '../geometry/vector.ts';
import type { Guide } from '../plan/plan.ts';
import { facingRoll } from '../vision/strip.ts';
import { parameterCovariance, type ResidualBlock, solveLeastSquares } from './least_squares.ts';
import type { Estimate } from './mark_fit.ts';
import { prior } from './prior.ts';

/** Points that a person set in one photo: on a mark's middle, or on a ring's outer rim; pixels of the upright photo. */
export interface PointedPhoto {
  view: number;
  points: readonly Pixel[];
}

/** How far off a person points, with a loupe and steady hands, pixels (common practice, no source). */
const pointing = 2.5;
/** How far a ring's height may be from the plan's, mm. */
const heightLatitude = 1.5;

/**
 * A mark set by hand: where the pointed rays meet the blank's surface on the side toward the camera; mm along the axis.
 * Undefined when no ray comes near the blank.
 */
export function handMark(
  cameras: readonly Camera[],
  axis: BlankAxis,
  pointed: readonly PointedPhoto[],
): (Estimate & { views: number[] }) | undefined {
  let sum = 0;
  let weight = 0;
  const views: number[] = [];
  for (const { view, points } of pointed) {
    const camera = cameras[view]!;
    for (const pixel of points) {
      const found = alongAtPixel(camera, axis, pixel);
      if (!found) continue;
      const w = (found.pixelsPerMm / pointing) ** 2;
      sum += w * found.along;
      weight += w;
      if (!views.includes(view)) views.push(view);
    }
  }
  return weight > 0 ? { value: sum / weight, u: 1 / Math.sqrt(weight), views } : undefined;
}

/** The arc length whose surface point, on the side toward the camera, shows nearest to a pixel. */
function alongAtPixel(
  camera: Camera,
  axis: BlankAxis,
  pixel: Pixel,
): { along: number; pixelsPerMm: number } | undefined {
  const surface = (s: number): Pixel | undefined => {
    const section = crossSection(axis, s);
    const facing = rollDirection(section, facingRoll(section, cameraCentre(camera)));
    return project(camera, addScaled(section.point, facing, section.radius));
  };
  const end = axis.from + (axis.points.length - 1) * axis.step;
  let best: { s: number; distance: number } | undefined;
  for (let s = axis.from; s <= end; s += 2) {
    const p = surface(s);
    const distance = p ? Math.hypot(p[0] - pixel[0], p[1] - pixel[1]) : Number.POSITIVE_INFINITY;
    if (!best || distance < best.distance) best = { s, distance };
  }
  if (!best || !Number.isFinite(best.distance)) return undefined;
  let s = best.s;
  let pixelsPerMm = 0;
  for (let i = 0; i < 10; i++) {
    const p = surface(s);
    const q = surface(s + 1);
    if (!p || !q) return undefined;
    const d: Pixel = [q[0] - p[0], q[1] - p[1]];
    pixelsPerMm = Math.hypot(...d);
    const move = ((pixel[0] - p[0]) * d[0] + (pixel[1] - p[1]) * d[1]) / pixelsPerMm ** 2;
    s += move;
    if (Math.abs(move) < 1e-6) break;
  }
  const near = surface(s);
  // Twenty blank widths off the blank is a slip of the finger, not a mark.
  const off = near ? Math.hypot(near[0] - pixel[0], near[1] - pixel[1]) / pixelsPerMm : Number.POSITIVE_INFINITY;
  return off < 40 * blankRadius(axis, s) ? { along: s, pixelsPerMm } : undefined;
}

export interface HandRing {
  along: Estimate;
  right: Estimate;
  up: Estimate;
  centre: Vector3;
  views: number[];
  /** the fitted outer rim in each view */
  rims: { view: number; line: Pixel[] }[];
}

/**
 * A ring set by hand: the circle of the planned size, leaning as planned, whose outer rim passes nearest to the pointed
 * places; its height is free within what a builder's calliper leaves open. Undefined for fewer than three points.
 */
export function handRing(
  cameras: readonly Camera[],
  axis: BlankAxis,
  guide: Guide,
  pointed: readonly PointedPhoto[],
): HandRing | undefined {
  const all = pointed.flatMap(({ view, points }) => points.map((pixel) => ({ camera: cameras[view]!, pixel })));
  if (all.length < 3) return undefined;
  const start = startOnPlane(axis, guide, all);
  if (!start) return undefined;
  const blocks: ResidualBlock[] = all.map(({ camera, pixel }) => rimBlock(camera, axis, guide, pixel));
  blocks.push(prior(2, guide.height + blankRadius(axis, start[0]!), heightLatitude));
  const { values, usable } = solveLeastSquares(blocks, Float64Array.from(start));
  const covariance = parameterCovariance(blocks, values);
  if (!usable || !covariance) return undefined;
  const estimate = (i: number): Estimate => ({ value: values[i]!, u: Math.sqrt(covariance[4 * i]!) });
  const views = pointed.filter((p) => p.points.length > 0).map((p) => p.view);
  return {
    along: estimate(0),
    right: estimate(1),
    up: estimate(2),
    centre: centreOf(axis, values),
    views,
    rims: views.map((view) => ({
      view,
      line: circle(cameras[view]!, axis, guide, values, 72).filter((p) => p !== undefined),
    })),
  };
}

const centreOf = (axis: BlankAxis, v: ArrayLike<number>): Vector3 => {
  const section = crossSection(axis, v[0]!);
  return add(section.point, add(scale(section.right, v[1]!), scale(section.up, v[2]!)));
};

/** Points of the outer rim's circle in the photo. */
function circle(
  camera: Camera,
  axis: BlankAxis,
  guide: Guide,
  v: ArrayLike<number>,
  count: number,
): (Pixel | undefined)[] {
  const section = crossSection(axis, v[0]!);
  const out = unit(add(scale(section.right, v[1]!), scale(section.up, v[2]!)));
  const lean = (guide.lean * Math.PI) / 180;
  const first = addScaled(scale(out, Math.cos(lean)), section.along, -Math.sin(lean));
  const second = unit(cross(section.along, out));
  const centre = centreOf(axis, v);
  return Array.from({ length: count + 1 }, (_, i) => {
    const angle = (2 * Math.PI * i) / count;
    const r = guide.ringOuter / 2;
    return project(camera, addScaled(addScaled(centre, first, r * Math.cos(angle)), second, r * Math.sin(angle)));
  });
}

/** Vector from a pointed pixel to the nearest place of the rim, over the pointing's doubt. */
function rimBlock(camera: Camera, axis: BlankAxis, guide: Guide, pixel: Pixel): ResidualBlock {
  const miss = (values: ArrayLike<number>): number => {
    const rim = circle(camera, axis, guide, values, 96);
    let best = Number.POSITIVE_INFINITY;
    let inside = false;
    for (let i = 0; i + 1 < rim.length; i++) {
      const a = rim[i];
      const b = rim[i + 1];
      if (!a || !b) return 1e4;
      const d: Pixel = [b[0] - a[0], b[1] - a[1]];
      const t = Math.min(
        Math.max(((pixel[0] - a[0]) * d[0] + (pixel[1] - a[1]) * d[1]) / (d[0] ** 2 + d[1] ** 2 || 1), 0),
        1,
      );
      best = Math.min(best, Math.hypot(a[0] + t * d[0] - pixel[0], a[1] + t * d[1] - pixel[1]));
      if (a[1] > pixel[1] !== b[1] > pixel[1] && pixel[0] < a[0] + ((pixel[1] - a[1]) / (b[1] - a[1])) * d[0])
        inside = !inside;
    }
    return (inside ? -best : best) / pointing;
  };
  return {
    parameters: [0, 1, 2],
    size: 1,
    evaluate(values, residuals, jacobian) {
      residuals[0] = miss(values);
      if (!jacobian) return;
      // The nearest place on a polygon has no handy formula; central differences over a hundredth of a millimetre do.
      for (let i = 0; i < 3; i++) {
        const step = 0.01;
        const ahead = Float64Array.from(values);
        const behind = Float64Array.from(values);
        ahead[i]! += step;
        behind[i]! -= step;
        jacobian[i] = (miss(ahead) - miss(behind)) / (2 * step);
      }
    },
  };
}

/** Along, right and up of the pointed places' middle, taken at the ring's planned height. */
function startOnPlane(
  axis: BlankAxis,
  guide: Guide,
  all: readonly { camera: Camera; pixel: Pixel }[],
): [number, number, number] | undefined {
  const { camera } = all[0]!;
  const own = all.filter((p) => p.camera === camera);
  const mean: Pixel = [
    own.reduce((sum, p) => sum + p.pixel[0], 0) / own.length,
    own.reduce((sum, p) => sum + p.pixel[1], 0) / own.length,
  ];
  const end = axis.from + (axis.points.length - 1) * axis.step;
  let best: { along: number; right: number; up: number; miss: number } | undefined;
  const { origin, direction } = ray(camera, mean);
  for (let s = axis.from; s <= end; s += 1) {
    const section = crossSection(axis, s);
    const up = guide.height + section.radius;
    // Where the ray pierces the cross-section.
    const k = dot(subtract(section.point, origin), section.along) / dot(direction, section.along);
    const hit = subtract(addScaled(origin, direction, k), section.point);
    const miss = Math.abs(norm(hit) - up);
    if (dot(hit, section.up) > 0 && (!best || miss < best.miss))
      best = { along: s, right: dot(hit, section.right), up: dot(hit, section.up), miss };
  }
  return best && [best.along, best.right, best.up];
}
