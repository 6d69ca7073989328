import { blankByMat } from '../../src/adjust/blank_by_mat.ts';
import { type BlankModel, outlineBlock, tipBlock } from '../../src/adjust/blank_model.ts';
import { blankProblem } from '../../src/adjust/blank_problem.ts';
import { outlineSigma } from '../../src/adjust/blank_problem.ts';
import { adjustMat } from '../../src/adjust/mat_adjustment.ts';
import { laneOf } from '../../src/adjust/mat_lane.ts';
import type { MatSolution } from '../../src/adjust/mat_summary.ts';
import { placeGradient, sightOf } from '../../src/adjust/propagation.ts';
import { cameraCentre } from '../../src/geometry/camera.ts';
import { basisAt, splineValue } from '../../src/geometry/spline.ts';
import { addScaled, dot, type Pixel, subtract, type Vector3 } from '../../src/geometry/vector.ts';
import { spanUncertainty } from '../../src/mat/readings.ts';
import { covarianceBetween } from '../../src/numerics/joint_covariance.ts';
import { parameterCovariance, solveLeastSquares } from '../../src/numerics/least_squares.ts';
import { choleskyFactor, choleskySolve } from '../../src/numerics/cholesky.ts';
import type { Blank } from '../../src/plan/plan.ts';
import { type OutlinePoint, outlineDirection } from '../../src/vision/outline.ts';
import { tipRimDirection } from '../../src/vision/tip.ts';
import type { TipPoint } from '../../src/vision/tip_profile.ts';
import { mainAxes } from './main_axes.ts';
import { meetingPoint } from './meeting_point.ts';
import { seededNormal } from './seeded_random.ts';
import { layTiles, observePhotos, picture, trueReadings, walk, type World, type WorldCamera } from './world.ts';

/**
 * One shoot solved again and again as if photographed anew from the same places: corners, span, outlines, tip and rings
 * read with other noise each time, all of it solved from the start. What the solutions scatter by is held against what
 * one of them foretells of itself.
 */

/** What is measured of a ring: its place along from the tip, across and over the axis, mm. */
export const ringQuantities = ['along', 'across', 'over'] as const;

/** Standard deviations of what is read: pixels; of the height that a plan lends a ring, mm. */
const noise = { corner: 0.12, edge: outlineSigma.together, tip: 0.3, ring: 0.25, height: 0.8 } as const;

const blank: Blank = { length: 620, tipDiameter: 2, buttDiameter: 8, finish: 'dark' };
const height = 26;
const side = 3;
/** Rings: mm along, across and over the axis. */
const rings = [
  { at: 90, across: 0.4, over: 9 },
  { at: 310, across: -0.6, over: 14 },
  { at: 540, across: 0.8, over: 22 },
] as const;

const laid = layTiles({ tiles: 3 });
const world: World = { ...laid, cameras: walk({ photos: 4, from: 60, to: 640, distance: 480 }) };
const exact = trueReadings(world, { fromTag: 0, toTag: 24 });
const axisAlong: Vector3 = [1, 0, 0];
const stationIn = (t: number) => ({
  t,
  point: [t, side, height] as Vector3,
  along: axisAlong,
  radius: (blank.tipDiameter + ((blank.buttDiameter - blank.tipDiameter) * t) / blank.length) / 2,
});

/** The picture of a point of the blank, read with noise along its edge's normal. */
function edgeOf(shot: WorldCamera, point: Vector3, out: Vector3, miss: number) {
  const [p, q] = [picture(shot, point), picture(shot, addScaled(point, out, 0.1))];
  if (!p || !q || p[0] < 0 || p[1] < 0 || p[0] > shot.width || p[1] > shot.height) return undefined;
  const length = Math.hypot(q[0] - p[0], q[1] - p[1]);
  const normal: Pixel = [(q[0] - p[0]) / length, (q[1] - p[1]) / length];
  return { pixel: [p[0] + miss * normal[0], p[1] + miss * normal[1]] as Pixel, normal };
}

/** Places of the bench's frame, which the lowest page carries, in the world's. */
const reference = laid.tiles[0]!;
const inBench = ([x, y, z]: Vector3): Vector3 => {
  const [c, s] = [Math.cos(reference.yaw), Math.sin(reference.yaw)];
  return [c * (x - reference.x) + s * (y - reference.y), -s * (x - reference.x) + c * (y - reference.y), z];
};

/** The blank's outline and its tip as photos of one day show them. */
function edgesRead(lane: ReturnType<typeof laneOf>, normal: () => number) {
  const laneT = (point: Vector3) => {
    const [x, y] = inBench(point);
    return (x - lane.origin[0]) * lane.direction[0] + (y - lane.origin[1]) * lane.direction[1];
  };
  const points = world.cameras.map((shot) =>
    Array.from({ length: 61 }, (_, i) => 5 + 10 * i).flatMap((t) =>
      ([1, -1] as const).flatMap((hand): OutlinePoint[] => {
        const station = stationIn(t);
        const out = outlineDirection(station, cameraCentre(shot.camera), hand);
        const edge = edgeOf(shot, addScaled(station.point, out, station.radius), out, noise.edge * normal());
        return edge ? [{ ...edge, t: laneT(station.point), side: hand, slope: 20, paired: true }] : [];
      }),
    ),
  );
  const end = stationIn(0);
  const tips = world.cameras.flatMap((shot, photo) => {
    const rim = addScaled(end.point, tipRimDirection(end, cameraCentre(shot.camera)), end.radius);
    const edge = edgeOf(shot, rim, [-1, 0, 0], noise.tip * normal());
    const point: TipPoint | undefined = edge && { ...edge, offset: 0, perMm: 5, sigma: noise.tip };
    return point ? [{ photo, point }] : [];
  });
  return { points, tips, begin: laneT(end.point) };
}

function fitBlank(mat: MatSolution, normal: () => number) {
  const lane = laneOf(mat);
  const { begin, ...edges } = edgesRead(lane, normal);
  const across = inBench([0, side, height]);
  const sideways = -(across[0] - lane.origin[0]) * lane.direction[1] + (across[1] - lane.origin[1]) * lane.direction[0];
  const start = { tip: begin, tipSeen: true, grip: begin + blank.length, side: () => sideways };
  const rest = { kind: 'blocks', axisHeight: height } as const;
  const problem = blankProblem(lane, start, blank, rest, () => ({ value: 0, u: 0.1 }));
  const { model, priors } = problem;
  const blocks = (values: Float64Array) => [
    ...priors,
    ...edges.points.flatMap((own, i) => own.map((point) => outlineBlock(model, mat.cameras[i]!, point, noise.edge))),
    ...edges.tips.map(({ photo, point }) => tipBlock(model, mat.cameras[photo]!, point, values[model.tip]!)),
  ];
  let { values } = problem;
  for (let round = 0; round < 3; round++) values = solveLeastSquares(blocks(values), values).values;
  const covariance = parameterCovariance(blocks(values), values, new Set());
  return { model, values, covariance, evidence: { ...edges, problem: { ...problem, values }, astray: 0 } };
}

/** Along the lane, across it and up. */
const directionsOf = ({ lane: { direction } }: BlankModel): Record<(typeof ringQuantities)[number], Vector3> => ({
  along: [direction[0], direction[1], 0],
  across: [-direction[1], direction[0], 0],
  over: [0, 0, 1],
});

/** A shoot solved: its mat, its blank, and each ring by its rays. */
export function solveAgain(seed: number) {
  const normal = seededNormal(seed);
  const photos = observePhotos(world, { corner: noise.corner, next: normal });
  const span = { ...exact.span!, length: exact.span!.length + spanUncertainty(exact.span!) * normal() };
  const mat = adjustMat(photos, { span })!;
  const fit = fitBlank(mat, normal);
  const { model, values } = fit;
  const tip = values[model.tip]!;
  const directions = directionsOf(model);
  const origin: Vector3 = [model.lane.origin[0], model.lane.origin[1], 0];
  const found = rings.map(({ at, across, over }) => {
    const truth: Vector3 = [at, side + across, height + over];
    const views = world.cameras.flatMap((shot, photo) => {
      const p = picture(shot, truth);
      if (!p || p[0] < 20 || p[1] < 20 || p[0] > shot.width - 20 || p[1] > shot.height - 20) return [];
      const pixel: Pixel = [p[0] + noise.ring * normal(), p[1] + noise.ring * normal()];
      return [{ camera: mat.cameras[photo]!, pixel, photo }];
    });
    const near = inBench(truth);
    const axisHeight = splineValue(model.spline, values, model.height, tip + at);
    const known: Vector3 = [near[0], near[1], axisHeight + over + noise.height * normal()];
    const point = meetingPoint(views, known, noise.height, noise.ring);
    const place = subtract(point, origin);
    const t = dot(place, directions.along);
    return {
      point,
      photos: views.map(({ photo }) => photo),
      along: t - tip,
      across: dot(place, directions.across) - splineValue(model.spline, values, model.side, t),
      over: point[2] - splineValue(model.spline, values, model.height, t),
    };
  });
  return { mat, fit, found };
}

export type SolvedShoot = ReturnType<typeof solveAgain>;

/** Read corners' noise as a solved shoot has it, over the noise there was. */
export const noiseTold = ({ mat }: SolvedShoot): number => mat.levels.corner / noise.corner;

/**
 * The covariance of one ring's along, across and over as a solved shoot foretells it: cameras, lens, pages and span,
 * the blank's own outlines and tip, and the ring's own rays and height.
 */
export function foretold({ mat, fit, found }: SolvedShoot, ring: number): number[][] {
  const { model, values, covariance } = fit;
  const { point, photos } = found[ring]!;
  const { at } = rings[ring]!;
  const by = blankByMat(mat, fit, true)!;
  const directions = directionsOf(model);
  const tip = values[model.tip]!;
  const own = raysCovariance(mat, point, photos);
  const rows = ringQuantities.map((name) => {
    const direction = directions[name];
    const seen = {
      point,
      along: direction,
      photos,
      heightSigma: noise.height,
      heightBefore: { sigma: noise.height, byParameter: by.heightAt(at) },
      pixelSigma: noise.ring,
    };
    const less = { along: by.tip!, across: by.sideAt(at), over: by.heightAt(at) }[name];
    const byMat = placeGradient(mat, seen)!.map((v, i) => v - less[i]!);
    // The axis's height lends the ring its own; it, the tip and the axis are what the ring is counted from.
    const byBlank = new Float64Array(values.length);
    const { first, weights } = basisAt(model.spline, tip + at);
    const lent = dot(direction, own[2]!) / noise.height ** 2;
    for (const [i, weight] of weights.entries()) {
      byBlank[model.height + first + i]! += weight * (lent - (name === 'over' ? 1 : 0));
      if (name === 'across') byBlank[model.side + first + i]! -= weight;
    }
    if (name === 'along') byBlank[model.tip]! -= 1;
    return { direction, byMat, byBlank };
  });
  const blankTerm = (g: Float64Array, h: Float64Array) => {
    let sum = 0;
    for (let i = 0; i < g.length; i++)
      if (g[i] !== 0) for (let j = 0; j < h.length; j++) sum += g[i]! * covariance![i * g.length + j]! * h[j]!;
    return sum;
  };
  return rows.map((a) =>
    rows.map(
      (b) =>
        covarianceBetween(mat.covariance!, a.byMat, b.byMat) +
        blankTerm(a.byBlank, b.byBlank) +
        dot(a.direction, [dot(own[0]!, b.direction), dot(own[1]!, b.direction), dot(own[2]!, b.direction)]),
    ),
  );
}

/** Covariance of a point by its rays and the height lent to it, cameras held, mm squared. */
function raysCovariance(mat: MatSolution, point: Vector3, photos: readonly number[]): Vector3[] {
  const information = new Float64Array(9);
  information[8] = 1 / noise.height ** 2;
  for (const photo of photos) {
    const { byPoint } = sightOf(mat, photo, point)!;
    for (let k = 0; k < 2; k++)
      for (let i = 0; i < 3; i++)
        for (let j = 0; j < 3; j++)
          information[3 * i + j]! += (byPoint[3 * k + i]! * byPoint[3 * k + j]!) / noise.ring ** 2;
  }
  const factor = choleskyFactor(information, 3)!;
  return [0, 1, 2].map((i) => {
    const column = choleskySolve(
      factor,
      3,
      Float64Array.from({ length: 3 }, (_, k) => (k === i ? 1 : 0)),
    );
    return [column[0]!, column[1]!, column[2]!];
  });
}

/** The covariance of one ring's quantities that solved shoots scatter by. */
export function scattered(shoots: readonly SolvedShoot[], ring: number): number[][] {
  const rows = shoots.map(({ found }) => ringQuantities.map((name) => found[ring]![name]));
  const mean = ringQuantities.map((_, k) => rows.reduce((sum, row) => sum + row[k]!, 0) / rows.length);
  return ringQuantities.map((_, i) =>
    ringQuantities.map(
      (__, j) => rows.reduce((sum, row) => sum + (row[i]! - mean[i]!) * (row[j]! - mean[j]!), 0) / (rows.length - 1),
    ),
  );
}

/**
 * `count` solutions held against what the first of them foretells: the noise of corners as told, over what it was; for
 * each ring the square roots of the covariance's eigenvalues, scattered over foretold, largest first; the angle between
 * the main axes, degrees; and the standard deviations of each quantity, mm.
 */
export function againTold(count: number) {
  const shoots = Array.from({ length: count }, (_, i) => solveAgain(100 + i));
  return {
    noise: shoots.reduce((sum, one) => sum + noiseTold(one), 0) / count,
    rings: rings.map(({ at }, ring) => {
      const [told, found] = [foretold(shoots[0]!, ring), scattered(shoots, ring)];
      const [axes, own] = [mainAxes(told), mainAxes(found)];
      const cosine = axes.vectors[0]!.reduce((sum, v, k) => sum + v * own.vectors[0]![k]!, 0);
      return {
        at,
        ratios: own.values.map((value, k) => Math.sqrt(value / axes.values[k]!)),
        apart: (Math.acos(Math.min(1, Math.abs(cosine))) * 180) / Math.PI,
        spread: ringQuantities.map((_, k) => ({ found: Math.sqrt(found[k]![k]!), told: Math.sqrt(told[k]![k]!) })),
      };
    }),
  };
}
