import { type BlankModel, stationAt } from '../../src/adjust/blank_model.ts';
import { blankProblem } from '../../src/adjust/blank_problem.ts';
import { adjustMat } from '../../src/adjust/mat_adjustment.ts';
import { laneOf } from '../../src/adjust/mat_lane.ts';
import { type Camera, cameraCentre, project } from '../../src/geometry/camera.ts';
import { addScaled, type Pixel, type Vector3 } from '../../src/geometry/vector.ts';
import type { Blank } from '../../src/plan/plan.ts';
import { type OutlinePoint, outlineDirection } from '../../src/vision/outline.ts';
import { tipRimDirection } from '../../src/vision/tip.ts';
import type { TipPoint } from '../../src/vision/tip_profile.ts';
import { seededNormal } from './seeded_random.ts';
import { layTiles, observePhotos, trueReadings, walk, type World } from './world.ts';

/**
 * A blank on blocks over three pages that four photos show, without pictures: its outlines and its tip are read where
 * the problem's own values have them, to 0.2 pixels.
 */
export const blank: Blank = { length: 620, tipDiameter: 2, buttDiameter: 8, finish: 'dark' };
const laid = layTiles({ tiles: 3 });
const world: World = { ...laid, cameras: walk({ photos: 4, from: 60, to: 640, distance: 480 }) };
const normal = seededNormal(4);
export const mat = adjustMat(
  observePhotos(world, { corner: 0.1, next: normal }),
  trueReadings(world, { fromTag: 0, toTag: 24 }),
)!;
const lane = laneOf(mat);
const begin = lane.from + 90;
/** The values it starts from are the truth. */
export const problem = blankProblem(
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
    const point: TipPoint | undefined = edge && { ...edge, offset: 0, perMm: 5, sigma: 0.2 };
    return point ? [{ photo, point }] : [];
  });
  return { points, tips };
}

export const edges = drawnEdges(problem);
