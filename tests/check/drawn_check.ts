import { checkShoot } from '../../src/check/check_shoot.ts';
import type { Photo } from '../../src/photo/photo.ts';
import type { Joint, Plan } from '../../src/plan/plan.ts';
import type { Shoot } from '../../src/plan/shoot.ts';
import { layTiles, type MatOptions, trueReadings, walk, type World } from '../world/world.ts';
import { type RasterOptions, renderPhoto } from '../world/world_raster.ts';
import { makeRod, type RodOptions } from '../world/world_rod.ts';
import { judgeReport, loadedFinder, type Truth } from './pipeline_judge.ts';

/** A made-up rod on a made-up mat. */
export interface DrawnCase {
  rod: RodOptions;
  /** planned place where it differs from the true one */
  planned?: Record<string, number>;
  mat?: MatOptions;
  raster?: RasterOptions;
  photos?: number;
  portrait?: readonly number[];
  joints?: Joint[];
}

const guideNames = (count: number) => Array.from({ length: count }, (_, i) => `G${i + 1}`);

/** A whole check on drawn photos of it, and the report held against what was drawn. */
export async function checkDrawn({
  rod,
  planned = {},
  mat: matOptions,
  raster,
  photos = 3,
  portrait,
  joints,
}: DrawnCase) {
  const guides = rod.guides ?? [];
  const ids = guideNames(guides.length);
  const mat = layTiles({ tiles: 2, ...matOptions });
  const world: World = {
    ...mat,
    cameras: walk({
      photos,
      from: 60,
      to: rod.length - 60,
      distance: 330,
      width: 1600,
      height: 1200,
      ...(portrait ? { portrait } : {}),
    }),
  };
  const plan: Plan = {
    title: 'Made-up rod',
    unit: 'mm',
    blank: { length: rod.length, tipDiameter: 2 * rod.tipRadius, buttDiameter: 2 * rod.buttRadius, finish: 'dark' },
    positions: guides.map((g, i) => ({
      id: ids[i]!,
      kind: 'guide',
      at: planned[ids[i]!] ?? g.at,
      guide: { ringOuter: g.outer, ringInner: g.inner, height: g.height, lean: g.lean, foot: 'single' },
    })),
    tolerance: { along: 1.5, roll: 3 },
    ...(joints && { joints }),
  };
  const last = Math.max(...world.tiles.map((t) => t.tile));
  const shoot: Shoot = {
    stage: 'rings',
    photos: world.cameras.map((_, i) => `${i + 1}.jpg`),
    mat: trueReadings(world, { fromTag: 0, toTag: 10 * last + 4 }),
    rest: { kind: 'blocks', axisHeight: rod.buttHeight },
    rollReference: 'guides',
  };
  const drawn = makeRod(rod);
  const pictures = world.cameras.map(
    (shot, i): Photo => ({
      ...renderPhoto(world, shot, { ...raster, rod: drawn, seed: i + 1 }),
      file: shoot.photos[i]!,
    }),
  );
  const { report } = await checkShoot(
    plan,
    shoot,
    async (i) => pictures[i]!,
    () => {},
    { finder: await loadedFinder() },
  );
  const truth: Truth = { guides: guides.map((g, i) => ({ id: ids[i]!, s: g.at, phi: g.roll })) };
  const judged = judgeReport(
    { plan, shoot, truth, load: () => Promise.reject(new Error('drawn, not loaded')) },
    report,
  );
  return { plan, shoot, report, judged, pictures };
}

/** A guide as it is drawn; mm and degrees. */
export const drawnGuide = (at: number, roll: number, outer: number, height: number, lean = 4) => ({
  at,
  roll,
  height,
  outer,
  inner: 0.72 * outer,
  lean,
});
