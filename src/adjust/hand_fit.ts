import type { Estimate } from '../numerics/estimate.ts';
import { besideAxis, type BlankAxis, blankRadius, crossSection, rollDirection } from '../geometry/blank_axis.ts';
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
import type { RingGuide } from '../plan/plan.ts';
import { facingRoll, type ViewIndex, type PerView } from '../vision/strip.ts';
import { parameterCovariance, solveLeastSquares } from '../numerics/least_squares.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import { prior } from './prior.ts';

/** What a person's pointing is worth, and how a mark or ring is fitted to it. */
const byHand = {
  /** how far off a person points, with a loupe and steady hands, pixels (common practice, no source) */
  pointing: 2.5,
  /** how far a ring's height may be from the plan's, mm: what a builder's calliper leaves open */
  heightLatitude: 1.5,
  /** farther off the blank than so many of its radii is a slip of the finger, not a mark */
  slip: 40,
  /**
   * how far a point's angle on the rim may move in one solution, radians: at the ends of a ring seen from its edge the
   * angle hardly shows. Solved again from where it came to, so many times, it is held to nothing
   */
  angleLatitude: 0.5,
  anchorings: 5,
  /** in the doubt angles are held by so many times as much: where they were held must not count as knowledge */
  asGoodAsFree: 20,
  /** steps of a solution, and what one must promise: along a flat floor rounding alone would go on */
  mostSteps: 200,
  worthwhile: 1e-6,
  /** steps for a mark's place at most, and the move (mm) below which it is found */
  markSteps: 10,
  settled: 1e-6,
  /** mm between places tried first along the blank: for a mark, for a ring */
  tried: { mark: 2, ring: 1 },
  /** points round a rim: where an angle is first looked for, and as it is drawn */
  anglesTried: 96,
  drawn: 72,
  /** a rim that no lens shows misses by this much, in deviations */
  unseen: 1e4,
  /** derivatives are taken over a tenth of a micrometre to both sides, or as little of an angle */
  difference: 1e-4,
} as const;
const { pointing, angleLatitude } = byHand;

/** Points that a person set in one photo: on a mark's middle, or on a ring's outer rim; pixels of the upright photo. */
export interface PointedPhoto {
  view: ViewIndex;
  points: readonly Pixel[];
}

/**
 * A mark set by hand: where the pointed rays meet the blank's surface on the side toward the camera; mm along the axis.
 * Undefined when no ray comes near the blank.
 */
export function handMark(
  cameras: PerView<Camera>,
  axis: BlankAxis,
  pointed: readonly PointedPhoto[],
): (Estimate & { views: ViewIndex[] }) | undefined {
  let sum = 0;
  let weight = 0;
  const views: ViewIndex[] = [];
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
  for (let s = axis.from; s <= end; s += byHand.tried.mark) {
    const p = surface(s);
    const distance = p ? Math.hypot(p[0] - pixel[0], p[1] - pixel[1]) : Number.POSITIVE_INFINITY;
    if (!best || distance < best.distance) best = { s, distance };
  }
  if (!best || !Number.isFinite(best.distance)) return undefined;
  let s = best.s;
  let pixelsPerMm = 0;
  for (let i = 0; i < byHand.markSteps; i++) {
    const p = surface(s);
    const q = surface(s + 1);
    if (!p || !q) return undefined;
    const d: Pixel = [q[0] - p[0], q[1] - p[1]];
    pixelsPerMm = Math.hypot(...d);
    const move = ((pixel[0] - p[0]) * d[0] + (pixel[1] - p[1]) * d[1]) / pixelsPerMm ** 2;
    s += move;
    if (Math.abs(move) < byHand.settled) break;
  }
  const near = surface(s);
  const off = near ? Math.hypot(near[0] - pixel[0], near[1] - pixel[1]) / pixelsPerMm : Number.POSITIVE_INFINITY;
  return off < byHand.slip * blankRadius(axis, s) ? { along: s, pixelsPerMm } : undefined;
}

export interface HandRing {
  along: Estimate;
  right: Estimate;
  up: Estimate;
  centre: Vector3;
  views: ViewIndex[];
  /** the fitted outer rim in each view */
  rims: { view: ViewIndex; line: Pixel[] }[];
}

/**
 * A ring set by hand: the circle of the planned size, leaning as planned, whose outer rim passes nearest to the pointed
 * places; its height is free within what a builder's calliper leaves open. Undefined for fewer than three points.
 */
export function handRing(
  cameras: PerView<Camera>,
  axis: BlankAxis,
  guide: RingGuide,
  pointed: readonly PointedPhoto[],
): HandRing | undefined {
  const all = pointed.flatMap(({ view, points }) => points.map((pixel) => ({ camera: cameras[view]!, pixel })));
  if (all.length < 3) return undefined;
  const start = startOnPlane(axis, guide, all);
  if (!start) return undefined;
  const rim: ResidualBlock[] = all.map(({ camera, pixel }, i) => rimBlock(camera, axis, guide, pixel, i));
  rim.push(prior(2, guide.height + blankRadius(axis, start[0]), byHand.heightLatitude));
  const angles = all.map(({ camera, pixel }) => nearestAngle(camera, axis, guide, start, pixel));
  let values = Float64Array.from([...start, ...angles]);
  for (let round = 0; round < byHand.anchorings; round++) {
    const anchor = values;
    const blocks = [...rim, ...all.map((_, i) => prior(3 + i, anchor[3 + i]!, angleLatitude))];
    const solution = solveLeastSquares(blocks, anchor, {
      maximumIterations: byHand.mostSteps,
      leastGain: byHand.worthwhile,
    });
    if (!solution.usable) return undefined;
    values = Float64Array.from(solution.values);
  }
  const free = all.map((_, i) => prior(3 + i, values[3 + i]!, byHand.asGoodAsFree * angleLatitude));
  const covariance = parameterCovariance([...rim, ...free], values);
  if (!covariance) return undefined;
  const estimate = (i: number): Estimate => ({ value: values[i]!, u: Math.sqrt(covariance[(values.length + 1) * i]!) });
  const views = pointed.filter((p) => p.points.length > 0).map((p) => p.view);
  return {
    along: estimate(0),
    right: estimate(1),
    up: estimate(2),
    centre: centreOf(axis, values),
    views,
    rims: views.map((view) => ({
      view,
      line: circle(cameras[view]!, axis, guide, values, byHand.drawn).filter((p) => p !== undefined),
    })),
  };
}

const centreOf = (axis: BlankAxis, v: ArrayLike<number>): Vector3 =>
  besideAxis(crossSection(axis, v[0]!), v[1]!, v[2]!);

/** The outer rim's place at an angle (radians) in the photo, for a ring at along, right and up (mm). */
function rimPlace(
  camera: Camera,
  axis: BlankAxis,
  guide: RingGuide,
  v: ArrayLike<number>,
  angle: number,
): Pixel | undefined {
  const section = crossSection(axis, v[0]!);
  const out = unit(add(scale(section.right, v[1]!), scale(section.up, v[2]!)));
  const lean = (guide.lean * Math.PI) / 180;
  const first = addScaled(scale(out, Math.cos(lean)), section.along, -Math.sin(lean));
  const second = unit(cross(section.along, out));
  const r = guide.ringOuter / 2;
  const centre = centreOf(axis, v);
  return project(camera, addScaled(addScaled(centre, first, r * Math.cos(angle)), second, r * Math.sin(angle)));
}

/** The outer rim's circle in the photo. */
const circle = (
  camera: Camera,
  axis: BlankAxis,
  guide: RingGuide,
  v: ArrayLike<number>,
  count: number,
): (Pixel | undefined)[] =>
  Array.from({ length: count + 1 }, (_, i) => rimPlace(camera, axis, guide, v, (2 * Math.PI * i) / count));

/** The angle at which the rim shows nearest to a pixel. */
function nearestAngle(camera: Camera, axis: BlankAxis, guide: RingGuide, v: ArrayLike<number>, pixel: Pixel): number {
  const count = byHand.anglesTried;
  const distances = circle(camera, axis, guide, v, count).map((p) =>
    p ? Math.hypot(p[0] - pixel[0], p[1] - pixel[1]) : Number.POSITIVE_INFINITY,
  );
  return (2 * Math.PI * distances.indexOf(Math.min(...distances))) / count;
}

/**
 * Vector from a place of the rim to a pointed pixel, over the pointing's doubt. Where on the rim it was pointed at is
 * an unknown of its own (orthogonal distance regression): the nearest distance itself has kinks that a ring seen from
 * its edge is full of.
 */
function rimBlock(camera: Camera, axis: BlankAxis, guide: RingGuide, pixel: Pixel, point: number): ResidualBlock {
  const parameters = [0, 1, 2, 3 + point];
  const miss = (values: ArrayLike<number>): Pixel => {
    const p = rimPlace(camera, axis, guide, values, values[3 + point]!);
    return p ? [(p[0] - pixel[0]) / pointing, (p[1] - pixel[1]) / pointing] : [byHand.unseen, byHand.unseen];
  };
  return {
    parameters,
    size: 2,
    evaluate(values, residuals, jacobian) {
      [residuals[0], residuals[1]] = miss(values);
      if (!jacobian) return;
      const step = byHand.difference;
      for (const [i, parameter] of parameters.entries()) {
        const ahead = Float64Array.from(values);
        const behind = Float64Array.from(values);
        ahead[parameter]! += step;
        behind[parameter]! -= step;
        const [a, b] = [miss(ahead), miss(behind)];
        jacobian[i] = (a[0] - b[0]) / (2 * step);
        jacobian[4 + i] = (a[1] - b[1]) / (2 * step);
      }
    },
  };
}

/** Along, right and up of the pointed places' middle, taken at the ring's planned height. */
function startOnPlane(
  axis: BlankAxis,
  guide: RingGuide,
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
  for (let s = axis.from; s <= end; s += byHand.tried.ring) {
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
