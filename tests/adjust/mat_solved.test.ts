import { describe, expect, test } from 'vitest';
import { keptMatPriors, keptPart } from '../../src/adjust/kept_pages.ts';
import { lensFound } from '../../src/adjust/lens_found.ts';
import { adjustMat } from '../../src/adjust/mat_adjustment.ts';
import { guessLens } from '../../src/adjust/mat_cameras.ts';
import { matFound } from '../../src/adjust/mat_found.ts';
import { perTile } from '../../src/adjust/mat_profile.ts';
import { blocksAt, poseMat } from '../../src/adjust/mat_problem.ts';
import { pageShifts } from '../../src/adjust/moved_pages.ts';
import { pagesStanding } from '../../src/adjust/pages_standing.ts';
import { pictured, pictureOf, squaresOf } from '../../src/adjust/pictured_squares.ts';
import { matDoubt } from '../../src/adjust/propagation.ts';
import { seatCardRoll } from '../../src/adjust/seat_card.ts';
import type { BlankSolution } from '../../src/adjust/blank_adjustment.ts';
import { contradictionOf } from '../../src/adjust/unfit_lens.ts';
import { lensPrior } from '../../src/adjust/lens_profile.ts';
import { straightAxis } from '../world/synthetic_blank.ts';
import { seededNormal } from '../world/seeded_random.ts';
import { layTiles, observePhotos, trueReadings, type World, walk } from '../world/world.ts';

const roll = 9;
/** Two pages, four photos, a seat card 18 mm over an axis 10 mm up, rolled by nine degrees. */
const laid = layTiles({ tiles: 2, seed: 4 });
const world: World = {
  ...laid,
  cameras: walk({ photos: 4, from: 60, to: 420 }),
  card: {
    rotation: [(-roll * Math.PI) / 180, 0, 0],
    centre: [430, 18 * Math.sin((roll * Math.PI) / 180), 10 + 18 * Math.cos((roll * Math.PI) / 180)],
  },
};
const photos = observePhotos(world, { corner: 0.1, next: seededNormal(2) });
const readings = trueReadings(world);
const mat = adjustMat(photos, readings)!;
/** From the world's frame to that of the first page. */
const base = world.tiles[0]!;

describe('what an adjustment found', () => {
  test('is plain data: a copy by structure has all of it', () => {
    expect(structuredClone(mat)).toEqual(mat);
  });

  test('a lens comes out with its own covariance, in the order it is kept', () => {
    const lens = lensFound(mat, 1)!;
    const { focal } = world.cameras[0]!.camera.intrinsics;
    expect(Math.abs(lens.values[0]! - focal)).toBeLessThan(4 * Math.sqrt(lens.covariance[0]!));
    expect(lens.covariance.length).toBe(lens.values.length ** 2);
    expect(lensFound({ ...mat, covariance: undefined }, 1)).toBeUndefined();
    expect(lensFound(mat, 9)).toBeUndefined();
  });

  test('a lens kept from these very photos does not contradict them; one of another focal length does', () => {
    const own = lensFound(mat, 0)!;
    const at = mat.index.cameras[0]!;
    const kept = { name: 'a', camera: 'b', photos: 4, corner: 0.1, ...own };
    const told = (values: readonly number[]) => {
      const { squares, mean, sigma } = contradictionOf(
        lensPrior({ ...kept, values }, at.lens, at.field.at),
        mat.values,
        mat.covariance!,
      );
      return (squares - mean) / sigma;
    };
    expect(told(own.values)).toBeLessThan(1);
    expect(told([own.values[0]! * 1.2, ...own.values.slice(1)])).toBeGreaterThan(10);
  });

  test('a photo without EXIF’s word is taken for a phone’s main camera', () => {
    const { focalPrior: _, ...bare } = photos[0]!;
    expect(guessLens(bare).focal).toBeCloseTo((26 / Math.hypot(36, 24)) * Math.hypot(4032, 3024), 0);
    expect(guessLens(photos[0]!).focal).toBe(photos[0]!.focalPrior);
  });
});

describe('a page that moved', () => {
  const shiftsWith = (by: number) => {
    const moved = photos.map((photo, i) =>
      i === 1
        ? {
            ...photo,
            tags: photo.tags.map((tag) =>
              tag.id >= 10 && tag.id < 20
                ? {
                    ...tag,
                    corners: tag.corners.map(([x, y]) => [x, y + by] as const) as unknown as typeof tag.corners,
                  }
                : tag,
            ),
          }
        : photo,
    );
    const problem = poseMat(moved, readings)!;
    return pageShifts(blocksAt(problem, mat.levels).tags, problem.index.tiles, mat.values, mat.covariance!);
  };
  const largest = (shifts: ReturnType<typeof shiftsWith>) => shifts.reduce((a, b) => (b.byMm > a.byMm ? b : a));

  test('in one photo stands out of all pages’ shifts, by about what it moved; none does where nothing moved', () => {
    const still = largest(shiftsWith(0));
    const pixelsPerMm = (0.735 * 4032) / 520;
    const found = largest(shiftsWith(3 * pixelsPerMm));
    expect(still.byMm).toBeLessThan(0.3);
    expect([found.tile]).toEqual([1]);
    expect(found.byMm).toBeGreaterThan(1.5);
  });

  test('since a mat was kept is told with how far; the others stand', () => {
    const kept = matFound(mat, readings)!;
    expect(pagesStanding(kept, mat)).toEqual({ pages: [0, 1], moved: [] });
    const elsewhere = {
      ...kept,
      tiles: kept.tiles.map((tile) => (tile.tile === 1 ? { ...tile, y: tile.y + 4 } : tile)),
    };
    // Two pages that disagree: nothing says which of them moved.
    expect(pagesStanding(elsewhere, mat)).toEqual({ pages: [], moved: [] });
    expect(pagesStanding({ ...kept, tiles: [] }, mat)).toEqual({ pages: [], moved: [] });
  });

  test('of pages kept, those in view are held and told together; of none the print’s scale alone is taken', () => {
    const profile = matFound(mat, readings)!;
    const start = { reference: 0, tiles: new Map([[1, { tile: 1, x: 7, y: 8, yaw: 0.1 }]]), poses: [] };
    const known = keptPart({ profile, pages: [0, 1] }, start)!;
    expect(known.held).toBe(1);
    expect(known.part.tiles.map(({ tile, x, y }) => [tile, x, y])).toEqual([[1, 7, 8]]);
    expect(keptPart({ profile, pages: [0] }, start)).toBeUndefined();
    const tiles = new Map([[1, { place: 0, heights: 3 }]]);
    const [together, ...more] = keptMatPriors({ profile, pages: [1] }, known, tiles, perTile);
    expect(more).toEqual([]);
    // its own place is the gauge: heights and scale are what is told
    expect(together!.size).toBe(perTile - 3 + 2);
    const scales = keptMatPriors({ profile, pages: [] }, undefined, tiles, perTile);
    const residuals = new Float64Array(1);
    const values = new Float64Array(perTile + 2);
    values[perTile] = profile.printScale.along;
    scales[0]!.evaluate(values, residuals, undefined);
    expect(scales.map(({ parameters }) => parameters[0])).toEqual([perTile, perTile + 1]);
    expect(residuals[0]).toBe(0);
  });
});

test('squares are pictured where the photos have them, the card’s too, and not over a picture’s edge', () => {
  const squares = squaresOf(mat);
  expect(squares.map(({ id }) => id)).toEqual([...Array.from({ length: 20 }, (_, i) => i), 580, 581]);
  const camera = mat.cameras[0]!;
  const grid = mat.index.cameras[0]!.field.grid;
  for (const tag of photos[0]!.tags) {
    const square = squares.find(({ id }) => id === tag.id)!;
    const own = pictured(square.id, square.points, camera, grid);
    if (!own) continue;
    own.corners.forEach(([x, y], i) =>
      expect(Math.hypot(x - tag.corners[i]![0], y - tag.corners[i]![1])).toBeLessThan(1),
    );
  }
  expect(pictureOf(camera, { width: 4032, height: 3024 }, [4000, 0, 0])).toBeUndefined();
});

test('a seat card’s roll comes from its tilt and its place together, within their doubt', () => {
  const axis = straightAxis(440, 3, 6, 10);
  // the axis lies along the world's x: in the bench's frame it is turned back by the first page's yaw
  const [c, s] = [Math.cos(base.yaw), Math.sin(base.yaw)];
  const points = axis.points.map(
    ([x, y, z]) => [c * (x - base.x) + s * (y - base.y), -s * (x - base.x) + c * (y - base.y), z] as const,
  );
  const blank = {
    axisSigma: { step: 10, side: Array(45).fill(0.05), height: Array(45).fill(0.2) },
  } as unknown as BlankSolution;
  const lying = { ...axis, points };
  const doubt = matDoubt(mat, { point: [0, 0, 0], along: [1, 0, 0], photos: [0] })!;
  const told = seatCardRoll(mat, blank, lying, doubt)!;
  for (const part of [told.roll, told.byTilt, told.byPlace])
    expect(Math.abs(part.value - roll)).toBeLessThan(4 * part.u);
  expect(told.roll.u).toBeLessThan(Math.min(told.byTilt.u, told.byPlace.u));
  const { card: _, ...without } = mat;
  expect(seatCardRoll(without, blank, lying, doubt)).toBeUndefined();
});
