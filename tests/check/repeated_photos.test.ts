import { readFile } from 'node:fs/promises';
import sharp from 'sharp';
import { beforeAll, expect, test, vi } from 'vitest';
import { checkShoot } from '../../src/check/check_shoot.ts';
import { isCopy, placeDistinct } from '../../src/check/repeated_photos.ts';
import type { TaggedView } from '../../src/check/tagged_views.ts';
import { addScaled, type Vector3 } from '../../src/geometry/vector.ts';
import { cameraCentre } from '../../src/geometry/camera.ts';
import { decodePhotoFile } from '../../src/photo/decode_node.ts';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { parseShoot } from '../../src/plan/files/shoot_file.ts';
import type { Shoot } from '../../src/plan/shoot.ts';
import type { Report } from '../../src/verdict/report.ts';
import { readTags } from '../../src/vision/tags.ts';
import { loadedFinder } from './pipeline_judge.ts';
import { seededNormal } from '../world/seeded_random.ts';
import { layTiles, lookAt, observeTags, trueReadings, walk, type World } from '../world/world.ts';

vi.setConfig({ testTimeout: 240_000, hookTimeout: 120_000 });

const folder = new URL('../../fixtures/sample/', import.meta.url);
const photoBytes = (name: string) => readFile(new URL(`photos/${name}`, folder));
const viewOf = async (name: string, bytes: Uint8Array): Promise<TaggedView> => {
  const photo = await decodePhotoFile({ name, bytes });
  return { photo, reading: await readTags(photo), faults: [] };
};

/** The sample's first photo saved anew in the ways that people and programs do. */
async function copies(): Promise<Record<string, Buffer>> {
  const bytes = await photoBytes('01.jpg');
  const { width, height } = await sharp(bytes).metadata();
  const kept = () => sharp(bytes).keepMetadata();
  return {
    'same.jpg': bytes,
    'saved-anew.jpg': await kept().jpeg({ quality: 55 }).toBuffer(),
    'smaller.jpg': await kept()
      .resize(Math.round(width * 0.6))
      .jpeg()
      .toBuffer(),
    'cropped.jpg': await kept()
      .extract({ left: 150, top: 40, width: width - 250, height: height - 90 })
      .jpeg()
      .toBuffer(),
  };
}

let first: TaggedView;
let second: TaggedView;
let all: Record<string, TaggedView>;
beforeAll(async () => {
  first = await viewOf('01.jpg', await photoBytes('01.jpg'));
  second = await viewOf('02.jpg', await photoBytes('02.jpg'));
  all = {};
  for (const [name, bytes] of Object.entries(await copies())) all[name] = await viewOf(name, bytes);
});

test('a copy is known by its bytes, saved anew, made smaller or cropped; the next photo of a walk is none', () => {
  for (const [name, view] of Object.entries(all)) {
    expect([name, isCopy(first, view)]).toEqual([name, true]);
    expect([name, isCopy(view, first)]).toEqual([name, true]);
  }
  expect(isCopy(first, second)).toBe(false);
});

const shootOf = (mat: Shoot['mat'], photos: string[]): Shoot => ({
  stage: 'rings',
  photos,
  mat,
  rest: { kind: 'flat' },
  rollReference: 'guides',
});

/** Photos of tags alone, each camera moved from the one before by so many mm along the mat. */
function burst(apart: readonly number[]): { tagged: TaggedView[]; shoot: Shoot } {
  const world: World = { ...layTiles({ tiles: 2 }), cameras: [] };
  const [shot] = walk({ photos: 1, from: 300, to: 300 });
  const next = seededNormal(5);
  const { intrinsics } = shot!.camera;
  const start = cameraCentre(shot!.camera);
  const cameras = apart.map((x) => {
    const eye = addScaled(start, [1, 0.3, 0.1] as Vector3, x / Math.hypot(1, 0.3, 0.1));
    const target: Vector3 = [eye[0] + 6 * next(), 6 * next(), 0];
    return { ...shot!, camera: lookAt(intrinsics, eye, target, [1, 0.01 * next(), 0]) };
  });
  world.cameras = cameras;
  const tagged = cameras.map(
    (camera, i): TaggedView => ({
      photo: {
        file: `${i + 1}.jpg`,
        width: camera.width,
        height: camera.height,
        luma: new Uint8Array(),
        blueDifference: new Uint8Array(),
        redDifference: new Uint8Array(),
        focalPrior: intrinsics.focal,
      },
      reading: { tags: observeTags(world, camera, { corner: 0.1, next }), twice: [], foreign: [] },
      faults: [],
    }),
  );
  return {
    tagged,
    shoot: shootOf(
      trueReadings(world),
      tagged.map(({ photo }) => photo.file),
    ),
  };
}

test('photos of a burst or from a tripod count once, those a step apart each', () => {
  for (const apart of [0.5, 1, 3, 10]) {
    const { tagged, shoot } = burst([0, apart, 200, 200 + apart / 2]);
    const distinct = placeDistinct(tagged, shoot);
    expect([apart, distinct.tagged.filter(({ repeats }) => repeats).length]).toEqual([apart, 2]);
    expect([apart, distinct.mat!.cameras.filter((camera) => camera).length]).toEqual([apart, 2]);
  }
  const { tagged, shoot } = burst([0, 60, 120, 180]);
  expect(placeDistinct(tagged, shoot).tagged.some(({ repeats }) => repeats)).toBe(false);
});

test('of two alike the one with hand-set points counts', () => {
  const { tagged, shoot } = burst([0, 0.5, 200]);
  const byHand: Shoot['byHand'] = [{ id: 'G1', photo: '2.jpg', points: [[1, 1]] }];
  const distinct = placeDistinct(tagged, { ...shoot, byHand });
  expect(distinct.tagged.map(({ repeats }) => repeats?.file)).toEqual(['2.jpg', undefined, undefined]);
});

test('one photo given five times is believed no more than once, and it is said', async () => {
  const plan = parsePlan(await readFile(new URL('plan.json', folder), 'utf8'));
  const shoot = parseShoot(await readFile(new URL('shoot.json', folder), 'utf8'));
  const check = async (views: TaggedView[]): Promise<Report> => {
    const asked = { ...shoot, photos: views.map(({ photo }) => photo.file) };
    const finder = await loadedFinder();
    return (
      await checkShoot(
        plan,
        asked,
        async (i) => views[i]!.photo,
        () => {},
        { finder },
      )
    ).report;
  };
  const once = await check([first]);
  const often = await check([first, ...Object.values(all)]);
  expect(often.items).toEqual(once.items);
  expect(often.verdict).toBe(once.verdict);
  expect(often.photos.map(({ problems }) => problems[0]?.slice(0, 36))).toEqual([
    once.photos[0]!.problems[0]?.slice(0, 36),
    ...Array.from({ length: 4 }, () => 'This is the same picture as 01.jpg, '),
  ]);
});
