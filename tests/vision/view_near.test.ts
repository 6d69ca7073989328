import { expect, test } from 'vitest';
import { project } from '../../src/geometry/camera.ts';
import { noColour } from '../../src/photo/luma.ts';
import { heldOf, type Photo } from '../../src/photo/photo.ts';
import { samplePhoto } from '../../src/vision/sampling.ts';
import { viewNear } from '../../src/vision/view_near.ts';
import { cameraLookingAt } from '../world/ring_scene.ts';
import { seededUniform } from '../world/seeded_random.ts';

const [width, height] = [400, 300];
const place = [600, 10, 20] as const;

function noisy(): Photo {
  const random = seededUniform(4);
  const plane = (length: number) => Uint8Array.from({ length }, () => 256 * random());
  const colour = (width / 2) * (height / 2);
  return {
    file: 'made-up.jpg',
    width,
    height,
    luma: plane(width * height),
    blueDifference: plane(colour),
    redDifference: plane(colour).fill(noColour),
  };
}

test.each([0, 25, -60])(
  'within the box round a place a photo shows what it did, looked at from %i mm along',
  (along) => {
    const photo = noisy();
    const camera = cameraLookingAt([600 + along, 40, 400], [590, 0, 10], 300, width, height);
    const near = viewNear({ photo, camera }, place, 40)!;
    const random = seededUniform(9);
    for (let i = 0; i < 200; i++) {
      const [x, y, z] = place.map((middle) => middle + 40 * (2 * random() - 1)) as [number, number, number];
      const [column, row] = project(camera, [x, y, z])!;
      expect(samplePhoto(near.photo, column, row)).toEqual(samplePhoto(photo, column, row));
    }
    const held = heldOf(near.photo);
    expect(held.width * held.height).toBeLessThan((width * height) / 3);
    expect(near.photo).toMatchObject({ width, height, luma: { length: held.width * held.height } });
  },
);

test('a photo that shows nothing of the box is none; of a box that reaches behind the camera it stays as it is', () => {
  const photo = noisy();
  const elsewhere = { photo, camera: cameraLookingAt([-900, 0, 400], [-900, 0, 10], 300, width, height) };
  expect(viewNear(elsewhere, place, 40)).toBeUndefined();
  const away = { photo, camera: cameraLookingAt([600, 0, 400], [600, 0, 900], 300, width, height) };
  expect(viewNear(away, place, 40)).toBeUndefined();
  const above = { photo, camera: cameraLookingAt([600, 0, 400], [600, 0, 10], 300, width, height) };
  expect(viewNear(above, place, 500)).toBe(above);
});
