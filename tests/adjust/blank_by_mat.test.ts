import { expect, test } from 'vitest';
import { blankByMat } from '../../src/adjust/blank_by_mat.ts';
import { type BlankModel, outlineBlock, stationAt, tipBlock } from '../../src/adjust/blank_model.ts';
import { blankProblem } from '../../src/adjust/blank_problem.ts';
import { edgeSigma } from '../../src/adjust/blank_rounds.ts';
import { adjustMat } from '../../src/adjust/mat_adjustment.ts';
import { laneOf } from '../../src/adjust/mat_lane.ts';
import { camerasAt, type MatSolution } from '../../src/adjust/mat_summary.ts';
import { type Camera, cameraCentre, project } from '../../src/geometry/camera.ts';
import { splineValue } from '../../src/geometry/spline.ts';
import { addScaled, type Pixel, type Vector3 } from '../../src/geometry/vector.ts';
import { parameterCovariance, solveLeastSquares } from '../../src/numerics/least_squares.ts';
import type { Blank } from '../../src/plan/plan.ts';
import { type OutlinePoint, outlineDirection } from '../../src/vision/outline.ts';
import { type TipPoint, tipRimDirection } from '../../src/vision/tip.ts';
import { seededNormal } from '../world/seeded_random.ts';
import { layTiles, observePhotos, trueReadings, walk, type World } from '../world/world.ts';

const blank: Blank = { length: 620, tipDiameter: 2, buttDiameter: 8, finish: 'dark' };
const laid = layTiles({ tiles: 3 });
const world: World = { ...laid, cameras: walk({ photos: 4, from: 60, to: 640, distance: 480 }) };
const normal = seededNormal(4);
const mat = adjustMat(
  observePhotos(world, { corner: 0.1, next: normal }),
  trueReadings(world, { fromTag: 0, toTag: 24 }),
)!;
const lane = laneOf(mat);
const begin = lane.from + 90;
const problem = blankProblem(
  lane,
  { tip: begin, tipSeen: true, grip: begin + blank.length, side: () => 2 },
  blank,
  { kind: 'blocks', axisHeight: 26 },
  () => ({ value: 0, u: 0.1 }),
);

/** The picture of a point of the blank and which way out of the blank its edge there looks. */
function edgeOf(camera: Camera, point: Vector3, out: Vector3): { pixel: Pixel; normal: Pixel } | undefined {
  const [p, q] = [project(camera, point), project(camera, addScaled(point, out, 0.1))];
  if (!p || !q || p[0] < 0 || p[1] < 0 || p[0] > 4032 || p[1] > 3024) return undefined;
  const length = Math.hypot(q[0] - p[0], q[1] - p[1]);
  return {
    pixel: [p[0] + 0.2 * normal(), p[1] + 0.2 * normal()],
    normal: [(q[0] - p[0]) / length, (q[1] - p[1]) / length],
  };
}

/** Edges of the blank as the photos show it where the problem has it. */
function drawnEdges({ model, values }: { model: BlankModel; values: Float64Array }) {
  const points = mat.cameras.map((camera) =>
    Array.from({ length: 60 }, (_, i) => begin + 5 + 10 * i).flatMap((t) =>
      ([1, -1] as const).flatMap((side): OutlinePoint[] => {
        const station = stationAt(model, values, t);
        const out = outlineDirection(station, cameraCentre(camera!), side);
        const edge = edgeOf(camera!, addScaled(station.point, out, station.radius), out);
        return edge ? [{ ...edge, t, side, slope: 20, paired: true }] : [];
      }),
    ),
  );
  const end = stationAt(model, values, values[model.tip]!);
  const back: Vector3 = [-end.along[0], -end.along[1], -end.along[2]];
  const tips = mat.cameras.flatMap((camera, photo) => {
    const rim = addScaled(end.point, tipRimDirection(end, cameraCentre(camera!)), end.radius);
    const edge = edgeOf(camera!, rim, back);
    const point: TipPoint | undefined = edge && { ...edge, offset: 0, sigma: 0.2 };
    return point ? [{ photo, point }] : [];
  });
  return { points, tips };
}

const edges = drawnEdges(problem);

/** The blank as these cameras have it, its edges staying where they were seen. */
function fitted({ cameras }: Pick<MatSolution, 'cameras'>) {
  const { model, priors } = problem;
  const blocks = (values: Float64Array) => [
    ...priors,
    ...edges.points.flatMap((own, i) => own.map((point) => outlineBlock(model, cameras[i]!, point, edgeSigma))),
    ...edges.tips.map(({ photo, point }) => tipBlock(model, cameras[photo]!, point, values[model.tip]!)),
  ];
  let { values } = problem;
  for (let round = 0; round < 4; round++) values = solveLeastSquares(blocks(values), values).values;
  return { model, values, covariance: parameterCovariance(blocks(values), values, new Set()) };
}

test('the blank moves with cameras and lens as a new fit to the same edges says', () => {
  const own = fitted(mat);
  const by = blankByMat(mat, { ...own, evidence: { ...edges, problem, astray: 0 } }, true)!;
  const at = 250;
  const start = own.values[own.model.tip]!;
  const read = ({ model, values }: typeof own) => ({
    tip: values[model.tip]!,
    side: splineValue(model.spline, values, model.side, start + at),
    height: splineValue(model.spline, values, model.height, start + at),
  });
  const predicted = { tip: by.tip!, side: by.sideAt(at), height: by.heightAt(at) };
  const { pose, lens, own: ownLens } = mat.index.cameras[1]!;
  // Each in its own unit: radians, mm, pixels of focal length and centre, a share of a photo’s own focal length.
  const steps: [number, number][] = [
    [pose, 1e-4],
    [pose + 1, 1e-4],
    [pose + 3, 0.05],
    [pose + 4, 0.05],
    [pose + 5, 0.05],
    [lens, 0.2],
    [lens + 1, 0.2],
    [ownLens, 1e-4],
  ];
  let largest = 0;
  for (const [parameter, step] of steps) {
    const moved = [step, -step].map((by) => {
      const values = Float64Array.from(mat.values);
      values[parameter]! += by;
      return read(fitted({ cameras: camerasAt(values, mat.index) }));
    });
    const kinds = ['tip', 'side', 'height'] as const;
    const changes = kinds.map((kind) => (moved[0]![kind] - moved[1]![kind]) / 2);
    const most = Math.max(...changes.map(Math.abs));
    largest = Math.max(largest, most);
    // Edges that lie off count less, and less again as they move: to a tenth of what moves most.
    for (const [i, kind] of kinds.entries())
      expect(Math.abs(step * predicted[kind][parameter]! - changes[i]!), `${kind} by ${parameter}`).toBeLessThan(
        0.1 * most + 1e-4,
      );
  }
  expect(largest).toBeGreaterThan(0.01);
});
