import { expect, test } from 'vitest';
import type { Photo } from '../../src/photo/photo.ts';
import { isLimbHidden } from '../../src/vision/hidden_limbs.ts';
import type { OutlinePoint } from '../../src/vision/outline.ts';

const [width, height] = [400, 80];
const top = 30;
const bottom = 50;

/** A blank across the picture over paper, and under it a shadow of this light as far as `to` (pixels). */
function picture(shadow: number, to: number, blank = 25): Photo {
  const luma = new Uint8Array(width * height).fill(210);
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      if (y >= top && y < bottom) luma[y * width + x] = blank;
      else if (y >= bottom && x < to) luma[y * width + x] = shadow;
    }
  const grey = new Uint8Array((width / 2) * (height / 2)).fill(128);
  return { file: 'made-up', width, height, luma, blueDifference: grey, redDifference: grey };
}

const outline: OutlinePoint[] = Array.from({ length: 40 }, (_, i) => 10 * i).flatMap((x) =>
  ([1, -1] as const).map((side) => ({
    t: x,
    side,
    pixel: [x, side > 0 ? bottom : top] as const,
    normal: [0, side] as const,
    slope: 30,
    paired: true,
  })),
);

test('a limb against its own hard shadow is hidden; in softer light it stands out', () => {
  expect(isLimbHidden([picture(40, width)], [outline])).toBe(true);
  expect(isLimbHidden([picture(110, width)], [outline])).toBe(false);
  expect(isLimbHidden([picture(210, 0)], [outline])).toBe(false);
});

test('a third of one side in hard shadow speaks for all of it, a little does not', () => {
  expect(isLimbHidden([picture(40, 0.4 * width)], [outline])).toBe(true);
  expect(isLimbHidden([picture(40, 0.2 * width)], [outline])).toBe(false);
});

test('a pale limb against a shadow as light as itself is hidden; beside paper or a darker shadow it stands out', () => {
  expect(isLimbHidden([picture(150, width, 158)], [outline])).toBe(true);
  expect(isLimbHidden([picture(150, 0.2 * width, 158)], [outline])).toBe(false);
  expect(isLimbHidden([picture(210, 0, 195)], [outline])).toBe(false);
  expect(isLimbHidden([picture(110, width, 170)], [outline])).toBe(false);
});
