import fc from 'fast-check';
import { expect, test } from 'vitest';
import { photoView } from '../../src/app/coverage/photo_view.ts';
import { photographed } from './drawn_frames.ts';

const image = { width: 4000, height: 3000, focal: 3000 };

test('height, place along and tilt are those of the camera, wherever it stands and looks', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 0, max: 1200 }),
      fc.integer({ min: -200, max: 200 }),
      fc.integer({ min: 400, max: 900 }),
      fc.constantFrom('A4' as const, 'Letter' as const),
      (along, side, height, paper) => {
        const tags = photographed(
          image,
          [
            [along, side, height],
            [along + 20, 0, 0],
          ],
          paper,
          5,
        );
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
  const tags = photographed(
    image,
    [
      [297, 0, 600],
      [297, 0, 0],
    ],
    'A4',
    4,
  );
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
