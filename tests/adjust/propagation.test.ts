import { describe, expect, test } from 'vitest';
import { adjustMat } from '../../src/adjust/mat_adjustment.ts';
import { movedBy, rayCrossing } from '../../src/adjust/propagation.ts';
import { type Camera, project } from '../../src/geometry/camera.ts';
import type { Vector3 } from '../../src/geometry/vector.ts';
import { solveLeastSquares } from '../../src/numerics/least_squares.ts';
import { differencedBlock } from '../../src/numerics/residual_block.ts';
import { drawShoot } from '../world/drawn_shoot.ts';
import { seededNormal } from '../world/seeded_random.ts';
import { observePhotos } from '../world/world.ts';

test('how high a place lies is told by places the camera stood at, never by how often it stood there', () => {
  const { world, readings, corner } = drawShoot(8, { tiles: 3, photos: 4 });
  const mat = adjustMat(observePhotos(world, { corner, next: seededNormal(2) }), readings)!;
  const heightSigma = 5;
  const doubtOfHeight = (photos: number[]) =>
    rayCrossing(mat, { point: [150, 3, 20], along: [0, 0, 1], photos, heightSigma, pixelSigma: 0.3 });
  // Photos from one place leave the height as open as it was known beforehand, however many they are.
  for (const times of [1, 2, 6, 50]) expect(doubtOfHeight(Array(times).fill(1))).toBeCloseTo(heightSigma, 3);
  expect(doubtOfHeight([0, 1])).toBeLessThan(0.1 * heightSigma);
});

describe('what some photos show farther along moves a place', () => {
  const { world, readings, corner } = drawShoot(8, { tiles: 3, photos: 4 });
  const mat = adjustMat(observePhotos(world, { corner, next: seededNormal(2) }), readings)!;
  const point = [150, 3, 20] as const;
  const photos = [0, 1, 2, 3];
  const moved = (farther: number[], heightSigma: number, of = photos) =>
    movedBy(mat, { point, along: [1, 0, 0], photos: of, heightSigma, pixelSigma: 0.3 }, farther);

  test('wholly where all do, not at all where none does', () => {
    for (const heightSigma of [1e-4, 1, 100]) {
      expect(moved(photos, heightSigma)).toBeCloseTo(1, 6);
      expect(moved([], heightSigma)).toBe(0);
    }
  });

  test('by their share where its height is known, and by all together as by each', () => {
    const each = photos.map((photo) => moved([photo], 1e-4));
    for (const one of each) expect(Math.abs(one - 0.25)).toBeLessThan(0.1);
    const open = photos.map((photo) => moved([photo], 2));
    expect(moved([0, 2, 3], 2)).toBeCloseTo(open[0]! + open[2]! + open[3]!, 9);
  });

  test('to where their rays cross the others’ where its height is open', () => {
    for (const [farther, of] of [
      [[1], [0, 1]],
      [[0], [0, 3]],
      [[2, 3], photos],
      [[0, 1, 2], photos],
    ] as const) {
      const by = 0.5;
      const pictured = of.map((photo): Vector3 => (farther.some((one) => one === photo) ? [150 + by, 3, 20] : point));
      const crossed = crossing(
        of.map((photo) => mat.cameras[photo]!),
        pictured,
      );
      const about = moved([...farther], 1e3, [...of]);
      expect(about, `${farther.join()} of ${of.join()}`).toBeCloseTo((crossed[0]! - point[0]) / by, 2);
    }
  });
});

/** Where the rays to these points, one a camera, come nearest to crossing in the pictures. */
function crossing(cameras: readonly Camera[], pictured: readonly Vector3[]): Float64Array {
  const blocks = cameras.map((camera, i) => {
    const [right, down] = project(camera, pictured[i]!)!;
    const misses = ([x, y, z]: readonly number[]) => {
      const at = project(camera, [x!, y!, z!])!;
      return [at[0] - right, at[1] - down];
    };
    return differencedBlock(misses, 2, [1e-3, 1e-3, 1e-3]);
  });
  return solveLeastSquares(blocks, Float64Array.from(pictured[0]!)).values;
}
