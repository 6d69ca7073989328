import { beforeAll, describe, expect, test, vi } from 'vitest';
import { checkShoot } from '../../src/check/check_shoot.ts';
import type { Photo } from '../../src/photo/photo.ts';
import type { Plan } from '../../src/plan/plan.ts';
import type { Shoot } from '../../src/plan/shoot.ts';
import type { Report } from '../../src/verdict/report.ts';
import { type Judgement, judgeReport, loadedFinder, rms, type Truth, worst } from './pipeline_judge.ts';
import { layTiles, type MatOptions, trueReadings, walk, type World } from '../world/world.ts';
import { type RasterOptions, renderPhoto } from '../world/world_raster.ts';
import { makeRod, type RodOptions } from '../world/world_rod.ts';

/** Whole checks on drawn photos of made-up rods that no path tracer was asked for. Drawing takes most of the time. */
vi.setConfig({ testTimeout: 240_000, hookTimeout: 240_000 });

interface Case {
  rod: RodOptions;
  /** planned place where it differs from the true one */
  planned?: Record<string, number>;
  mat?: MatOptions;
  raster?: RasterOptions;
  photos?: number;
  portrait?: readonly number[];
}

const guideNames = (count: number) => Array.from({ length: count }, (_, i) => `G${i + 1}`);

async function check({ rod, planned = {}, mat: matOptions, raster, photos = 3, portrait }: Case) {
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
  return { report, judged, pictures };
}

const guide = (at: number, roll: number, outer: number, height: number, lean = 4) => ({
  at,
  roll,
  height,
  outer,
  inner: 0.72 * outer,
  lean,
});
const onBlocks = { buttHeight: 28, tipHeight: 28 };
const slim: RodOptions = {
  length: 520,
  tipRadius: 0.9,
  buttRadius: 3.2,
  ...onBlocks,
  side: -3,
  skew: 0.006,
  bow: 1.2,
  sag: 0.8,
  guides: [guide(110, 1.2, 8, 7), guide(245, -0.8, 10, 10), guide(400, 0.3, 16, 17, 8)],
};

const cases: [string, Case][] = [
  ['a slim dark blank with a ring 2.6 mm off', { rod: slim, planned: { G2: 242.4 } }],
  [
    'the tip at the last page, the mat printed at 97 %',
    { rod: slim, mat: { tipAtLastTile: true, printScale: { along: 0.97, across: 0.972 } } },
  ],
  [
    'a thick glossy butt section, the lamp’s image along it',
    {
      rod: {
        ...slim,
        tipRadius: 4.2,
        buttRadius: 6.6,
        gloss: { strength: 0.9, exponent: 120 },
        guides: [guide(140, 2, 16, 16, 8), guide(330, -2, 25, 26, 10)],
      },
      planned: { G1: 143.1 },
    },
  ],
];

describe.each(cases)('%s', (_, scene) => {
  let report: Report;
  let judged: Judgement;
  beforeAll(async () => {
    ({ report, judged } = await check(scene));
  });

  test('every ring is found and nothing else, nothing is passed that is off', () => {
    expect(judged.lost).toEqual([]);
    expect(judged.ghosts).toEqual([]);
    expect(judged.falsePass).toEqual([]);
    expect(judged.falseFlag).toEqual([]);
  });

  test('places and rolls are right, and about as sure as they are right', () => {
    // Three photos of 2 megapixels: a pixel is 0.3 mm and most rings show in two.
    expect(worst(judged.along)).toBeLessThan(0.7);
    expect(rms(judged.roll)).toBeLessThan(2);
    // The frame joins these rings of 25 pixels on one side and pulls by up to a pixel: 95 in 100 would lie within 1.
    expect(worst(judged.overDoubt)).toBeLessThan(1.5);
    expect(report.photos.every((p) => p.residual < 0.3)).toBe(true);
  });
});
