import { describe, expect, test, vi } from 'vitest';
import { parseLensProfile, lensProfileToText } from '../../src/adjust/lens_file.ts';
import { type LensProfile, lensIntrinsics, turnedLens } from '../../src/adjust/lens_profile.ts';
import { adjustMat } from '../../src/adjust/mat_adjustment.ts';
import { lensOf } from '../../src/check/known_before.ts';
import { lensFromSquares } from '../../src/check/make_lens.ts';
import { distort } from '../../src/geometry/camera.ts';
import { InputError } from '../../src/plan/input_error.ts';
import { drawLens, drawShoot, measureDrawn } from '../world/drawn_shoot.ts';
import { seededNormal } from '../world/seeded_random.ts';
import { layTiles, observePhotos, walk, type World } from '../world/world.ts';

/** A lens takes one to two seconds to solve on a quiet machine. */
vi.setConfig({ testTimeout: 120_000 });

const rms = (values: readonly number[]) => Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);

/** Two pages, from all sides and into every corner of the picture. */
function lensWorld(seed: number): World {
  const mat = layTiles({ tiles: 2, seed });
  return {
    ...mat,
    cameras: walk({ photos: 12, from: mat.tiles[0]!.x - 60, to: mat.tiles[1]!.x + 60, distance: 430, seed }),
  };
}
const squaresOf = (world: World) =>
  observePhotos(world, { corner: 0.1, next: seededNormal(4) }).map(({ file, tags, width, height, focalPrior }) => ({
    file,
    photo: { width, height },
    reading: { tags: [...tags], twice: [], foreign: [] },
    camera: 'Maker Phone, 26 mm equivalent, 4032 x 3024',
    turns: 0,
    focalPrior: focalPrior!,
  }));

describe('a lens made from photos of two pages', () => {
  const squares = squaresOf(lensWorld(3));
  const { profile, sentences } = lensFromSquares(squares, { name: 'My phone' });

  test('knows its focal length, and how well', () => {
    const truth = lensWorld(3).cameras[0]!.camera.intrinsics;
    const sigma = Math.sqrt(profile.covariance[0]!);
    expect(sigma / truth.focal).toBeLessThan(0.002);
    expect(Math.abs(profile.values[0]! - truth.focal)).toBeLessThan(3 * sigma);
    expect(profile.photos).toBe(12);
    expect(sentences.join(' ')).toContain('12 photos');
  });

  test('comes back from its file, number for number', () => {
    expect(parseLensProfile(lensProfileToText(profile))).toEqual(profile);
  });

  test('turned with the camera, it shows every direction where the turned photo has it', () => {
    let turned = profile;
    for (let k = 1; k <= 4; k++) {
      const before = turned;
      turned = turnedLens(turned, 1);
      for (const [x, y] of [
        [0.3, 0.2],
        [-0.5, 0.1],
      ] as const) {
        const [px, py] = distort(lensIntrinsics(before), x, y);
        const [qx, qy] = distort(lensIntrinsics(turned), -y, x);
        // A pixel's middle against its edge: the field is read half a pixel aside.
        expect(qx).toBeCloseTo(before.grid.height - 1 - py, 1);
        expect(qy).toBeCloseTo(px, 1);
      }
    }
    expect(turned.values.map((v) => v.toFixed(9))).toEqual(profile.values.map((v) => v.toFixed(9)));
    expect([...turned.covariance]).toEqual([...profile.covariance]);
  });

  test('is taken by photos of its camera alone, whichever way that was held', () => {
    const key = 'Maker Phone, 26 mm equivalent, 4032 x 3024, orientation';
    expect(lensOf({ cameraKey: `${key} 1`, width: 4032, height: 3024 }, [profile])?.values).toEqual(profile.values);
    expect(lensOf({ cameraKey: `${key} 6`, width: 3024, height: 4032 }, [profile])?.grid.width).toBe(3024);
    expect(lensOf({ cameraKey: `${key} 2`, width: 4032, height: 3024 }, [profile])).toBeUndefined();
    expect(lensOf({ cameraKey: `Other ${key} 1`, width: 4032, height: 3024 }, [profile])).toBeUndefined();
    expect(lensOf({ width: 4032, height: 3024 }, [profile])).toBeUndefined();
  });

  test.each<[string, (all: typeof squares) => typeof squares, RegExp]>([
    [
      'photos of two cameras',
      (all) => all.map((one, i) => (i === 5 ? { ...one, camera: 'Other' } : one)),
      /another camera/,
    ],
    [
      'the same photo again and again',
      (all) => all.map((one) => ({ ...all[0]!, file: one.file })),
      /Only 1 of these 12/,
    ],
    [
      'squares in the middle alone',
      (all) =>
        all.map((one) => ({
          ...one,
          reading: {
            ...one.reading,
            tags: one.reading.tags.filter(({ corners }) => corners.every(([x]) => x > 1350 && x < 2680)),
          },
        })),
      /photos show 6 squares|Hardly a square shows in the/,
    ],
  ])('%s: refused in one sentence', (_, spoil, said) => {
    expect(() => lensFromSquares(spoil(squares), {})).toThrow(InputError);
    expect(() => lensFromSquares(spoil(squares), {})).toThrow(said);
  });

  test.each<[string, object]>([
    ['no covariance of anything', { covariance: Array.from({ length: 4278 }, () => 1) }],
    ['half a covariance', { covariance: [1, 2, 3] }],
    ['a field of another size', { field: { right: [0], down: [0] } }],
    ['an impossible focal length', { focal: 3 }],
    ['a later version', { schema: 'prewrap.lens/2' }],
  ])('a file with %s is refused', (_, change) => {
    const file = JSON.parse(lensProfileToText(profile)) as object;
    expect(() => parseLensProfile({ ...file, ...change })).toThrow(InputError);
  });
});

describe('a kept lens in a check', () => {
  test('one photo tells places better with it, and says so', () => {
    const drawn = [1, 2, 3].map((seed) => {
      const shoot = drawShoot(seed, { tiles: 3, photos: 1, distance: 1000 });
      return { plain: measureDrawn(shoot)!, known: measureDrawn(shoot, { lens: drawLens(shoot) })! };
    });
    const of = (which: 'plain' | 'known', pick: 'error' | 'u') =>
      rms(drawn.flatMap((shoot) => shoot[which].places.map(({ apart }) => apart[pick])));
    expect(drawn.every(({ known }) => known.mat.lenses.length === 1)).toBe(true);
    expect(of('known', 'u')).toBeLessThan(0.85 * of('plain', 'u'));
    expect(of('known', 'error')).toBeLessThan(of('plain', 'error'));
    expect(of('known', 'error')).toBeLessThan(1.3 * of('known', 'u'));
  });

  test('one that the photos contradict is left out, and the walk measures as without it', () => {
    const shoot = drawShoot(15);
    const other: LensProfile = drawLens(drawShoot(16, { field: 0.8 }));
    const photos = observePhotos(shoot.world, { corner: shoot.corner, next: seededNormal(5) });
    const plain = adjustMat(photos, shoot.readings)!;
    const found = adjustMat(
      photos.map((photo) => ({ ...photo, lens: other })),
      shoot.readings,
    )!;
    expect(found.unfitLenses).toEqual([other]);
    expect(found.lenses).toEqual([]);
    expect(found.values).toEqual(plain.values);
  });
});
