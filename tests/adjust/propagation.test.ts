import { expect, test } from 'vitest';
import { adjustMat } from '../../src/adjust/mat_adjustment.ts';
import { rayCrossing } from '../../src/adjust/propagation.ts';
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
