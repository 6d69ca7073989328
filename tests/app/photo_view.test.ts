import fc from 'fast-check';
import { expect, test } from 'vitest';
import { photoView } from '../../src/app/coverage/photo_view.ts';
import { makeCamera, project } from '../../src/geometry/camera.ts';
import { rotationVector } from '../../src/geometry/rotation.ts';
import { cross, type Pixel, scale, subtract, transform, unit, type Vector3 } from '../../src/geometry/vector.ts';
import { type PaperName, paperSizes, tagCorners, tagPlace, tileTagIds } from '../../src/mat/tile.ts';
import type { SeenTag } from '../../src/photo/edge_blur.ts';

const image = { width: 4000, height: 3000, focal: 3000 };

/**
 * Tags of a mat of butted tiles as a camera at `eye` sees them that looks at `target`, mm in the first tile's frame.
 */
function photographed(eye: Vector3, target: Vector3, paper: PaperName, tiles: number): SeenTag[] {
  const forward = unit(subtract(target, eye));
  const down: Vector3 = unit(subtract([0, -1, 0], scale(forward, -forward[1])));
  const right = cross(down, forward);
  const matrix = [...right, ...down, ...forward] as const;
  const pose = { rotation: rotationVector(matrix), translation: scale(transform(matrix, eye), -1) };
  const camera = makeCamera(
    { focal: image.focal, centre: [(image.width - 1) / 2, (image.height - 1) / 2], distortion: [0, 0, 0, 0, 0] },
    pose,
  );
  return Array.from({ length: tiles }, (_, tile) => tileTagIds(tile))
    .flat()
    .flatMap((id) => {
      const at = tagPlace(id)!.tile * paperSizes[paper].width;
      const corners = tagCorners(id)!.map(([u, v]) => project(camera, [u + at, v, 0]));
      const inside = corners.every(
        (corner) => corner && corner[0] > 0 && corner[0] < image.width && corner[1] > 0 && corner[1] < image.height,
      );
      return inside ? [{ id, corners: corners as unknown as readonly [Pixel, Pixel, Pixel, Pixel] }] : [];
    });
}

test('height, place along and tilt are those of the camera, wherever it stands and looks', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 0, max: 1200 }),
      fc.integer({ min: -200, max: 200 }),
      fc.integer({ min: 400, max: 900 }),
      fc.constantFrom('A4' as const, 'Letter' as const),
      (along, side, height, paper) => {
        const tags = photographed([along, side, height], [along + 20, 0, 0], paper, 5);
        const view = photoView({ ...image, tags }, paper);
        expect(view.height).toBeCloseTo(height, 0);
        expect(view.along).toBeCloseTo(along, 0);
        expect(view.tilt).toBeCloseTo((Math.atan2(side, height) * 180) / Math.PI, 1);
      },
    ),
  );
});

test('the stretch reaches as far as both rows are read', () => {
  // from 600 mm above the second tile's middle the photo is 800 mm wide: whole tags have their centres within 388 mm,
  // so the outermost columns, at 397 mm, are cut
  const tags = photographed([297, 0, 600], [297, 0, 0], 'A4', 4);
  expect(photoView({ ...image, tags }, 'A4').columns).toEqual({ from: 1, to: 13 });
  const fewer = tags.filter(({ id }) => ![1, 16].includes(id));
  // the top row begins with tag 2; tag 16 is missed within the bottom row, which does no harm
  expect(photoView({ ...image, tags: fewer }, 'A4').columns).toEqual({ from: 2, to: 13 });
  const topOnly = tags.filter(({ id }) => id % 10 < 5);
  expect(photoView({ ...image, tags: topOnly }, 'A4').columns).toBeUndefined();
});

test('without tags nothing is claimed', () => {
  expect(photoView({ ...image, tags: [] }, 'A4')).toEqual({});
});
