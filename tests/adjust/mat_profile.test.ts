import { describe, expect, test, vi } from 'vitest';
import { matProfileToText, parseMatProfile } from '../../src/adjust/mat_file.ts';
import { matFound } from '../../src/adjust/mat_found.ts';
import { partOfMat, perTile } from '../../src/adjust/mat_profile.ts';
import { adjustMat } from '../../src/adjust/mat_adjustment.ts';
import { profilesUsed } from '../../src/check/known_before.ts';
import { signOf } from '../../src/adjust/photo_sign.ts';
import { matToKeep } from '../../src/check/make_mat.ts';
import { InputError } from '../../src/plan/input_error.ts';
import { type DrawnShoot, drawMat, drawShoot, measureDrawn } from '../world/drawn_shoot.ts';
import { seededNormal } from '../world/seeded_random.ts';
import { observePhotos } from '../world/world.ts';

/** A mat takes up to a second to solve on a quiet machine. */
vi.setConfig({ testTimeout: 120_000 });

const rms = (values: readonly number[]) => Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);

const shoot = drawShoot(3, { tiles: 3 });
const kept = drawMat(shoot);

/** The shoot on the same mat, one page shifted since it was kept. */
const withPageMoved = (drawn: DrawnShoot, tile: number, dx: number, dy: number): DrawnShoot => ({
  ...drawn,
  world: {
    ...drawn.world,
    tiles: drawn.world.tiles.map((own) => (own.tile === tile ? { ...own, x: own.x + dx, y: own.y + dy } : own)),
  },
});

describe('a kept mat', () => {
  test('comes back from its file, number for number', () => {
    expect(parseMatProfile(matProfileToText(kept))).toEqual(kept);
  });

  test.each<[string, object]>([
    ['no covariance of anything', { covariance: Array.from({ length: 861 }, (_, i) => -i) }],
    ['half a covariance', { covariance: [1, 2, 3] }],
    ['a page given twice', { pages: [...kept.tiles.slice(0, 2), kept.tiles[0]] }],
    ['no page', { pages: [] }],
    ['a page without its heights', { pages: [{ ...kept.tiles[0], heights: [] }] }],
    ['a later version', { schema: 'prewrap.mat/2' }],
  ])('with %s is refused', (_, change) => {
    const file = JSON.parse(matProfileToText(kept)) as object;
    expect(() => parseMatProfile({ ...file, ...change })).toThrow(InputError);
  });

  test('without any reading has no size and is not kept', () => {
    const mat = adjustMat(observePhotos(shoot.world, { corner: 0.1, next: seededNormal(1) }), {})!;
    expect(() => matToKeep(mat, {}, { name: 'mine' })).toThrow('Nothing was measured on this mat');
    expect(matToKeep(mat, shoot.readings, { name: 'mine' }).profile.tiles.length).toBe(3);
  });

  test('gives the same distances and a doubt of its own in whichever page’s frame it is taken', () => {
    const byFirst = partOfMat(kept, [0, 1, 2], { tile: 0, x: 0, y: 0, yaw: 0 });
    const byLast = partOfMat(kept, [0, 1, 2], { tile: 2, x: 500, y: -20, yaw: 3 });
    const apart = ({ tiles }: typeof byFirst, a: number, b: number) =>
      Math.hypot(tiles[a]!.x - tiles[b]!.x, tiles[a]!.y - tiles[b]!.y);
    const n = perTile * 3 + 2;
    // Along the line between them, where nothing turns: the doubt of their distance is the same from either.
    const sigma = (part: typeof byFirst, k: number) => Math.sqrt(part.covariance[perTile * k * (n + 1)]!);
    expect(apart(byLast, 0, 2)).toBeCloseTo(apart(byFirst, 0, 2), 9);
    expect(byLast.tiles[2]!.x).toBe(500);
    expect(sigma(byFirst, 2)).toBeGreaterThan(0.05);
    expect(byFirst.tiles.flatMap(({ heights }) => heights).reduce((sum, h) => sum + h, 0)).toBeCloseTo(0, 9);
  });
});

describe('a kept mat in a check', () => {
  test('one photo tells places better with it, and the readings are not counted twice', () => {
    const drawn = [1, 2, 3].map((seed) => {
      const one = drawShoot(seed, { tiles: 3, photos: 1, distance: 1000 });
      return { plain: measureDrawn(one)!, known: measureDrawn(one, { mat: drawMat(one) })! };
    });
    const of = (which: 'plain' | 'known', pick: 'error' | 'u') =>
      rms(drawn.flatMap((one) => one[which].places.map(({ apart }) => apart[pick])));
    for (const { known } of drawn) {
      expect(known.mat.keptMat).toMatchObject({ pages: [0, 1, 2], moved: [] });
      expect(known.mat.readings).toEqual({});
    }
    expect(of('known', 'u')).toBeLessThan(of('plain', 'u'));
    expect(of('known', 'error')).toBeLessThan(of('plain', 'error'));
    expect(of('known', 'error')).toBeLessThan(1.3 * of('known', 'u'));
  });

  test.each([
    ['along', 1.2, 0, 1],
    ['across', 0, 1, 1],
    ['across, and it was the first', 0, -1, 0],
  ])('a page that moved by a millimetre %s since is named, and the rest is used', (_, dx, dy, tile) => {
    const { mat } = measureDrawn(withPageMoved(shoot, tile, dx, dy), { mat: kept })!;
    expect(mat.keptMat!.pages).toEqual([0, 1, 2].filter((page) => page !== tile));
    expect(mat.keptMat!.moved.map((one) => one.tile)).toEqual([tile]);
    expect(Math.abs(mat.keptMat!.moved[0]!.byMm - Math.hypot(dx, dy))).toBeLessThan(0.3);
    expect(profilesUsed(mat).notes.join()).toMatch(new RegExp(`Page ${tile + 1} lies 1\\.\\d mm from where`));
  });

  test('of another mat is left out, and that is said', () => {
    const other = drawShoot(44, { tiles: 3 });
    const photos = observePhotos(shoot.world, { corner: 0.1, next: seededNormal(9) });
    const mat = adjustMat(photos, shoot.readings, { ...drawMat(other), name: 'Other' })!;
    expect(mat.values).toEqual(adjustMat(photos, shoot.readings)!.values);
    expect(profilesUsed(mat)).toMatchObject({ profiles: [{ kind: 'mat', name: 'Other', used: false }] });
    expect(profilesUsed(mat).notes[0]).toContain('The kept mat “Other” was not used');
  });

  test('made from the very photos of a check says nothing new, and is not counted', () => {
    const photos = observePhotos(shoot.world, { corner: shoot.corner, next: seededNormal(12) });
    const signs = [signOf(photos[1]!.tags)];
    const mat = adjustMat(photos, shoot.readings, { ...kept, signs })!;
    expect(mat.keptMat).toMatchObject({ fromThese: true, pages: [] });
    expect(profilesUsed(mat).notes[0]).toContain('was made from these very photos');
    const others = adjustMat(photos.toSpliced(1, 1), shoot.readings, { ...kept, signs })!;
    expect(others.keptMat?.pages).toEqual([0, 1, 2]);
  });

  test('kept from photos that knew a kept mat already, it is surer and lies the same', () => {
    const photos = observePhotos(shoot.world, { corner: shoot.corner, next: seededNormal(12) });
    const again = matFound(adjustMat(photos, shoot.readings, kept)!, kept.readings)!;
    const last = again.tiles.length - 1;
    expect(again.tiles[last]!.x).toBeCloseTo(kept.tiles[last]!.x, 0);
  });
});
