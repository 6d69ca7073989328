import { expect, test } from 'vitest';
import { bleedShare, type EdgeLevels, outlineLevels, squareLevels } from '../../src/vision/white_bleed.ts';
import type { OutlinePoint } from '../../src/vision/outline.ts';
import { normalShareBelow } from '../../src/numerics/normal_distribution.ts';
import type { Photo } from '../../src/photo/photo.ts';

/** IEC 61966-2-1, both ways. */
const coded = (light: number) => 255 * (light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055);
const lightOf = (level: number) =>
  level / 255 <= 0.04045 ? level / 255 / 12.92 : ((level / 255 + 0.055) / 1.055) ** 2.4;

/**
 * Where a filter meets the steepest place of an edge that was blurred before it was coded: pixels inside the thing,
 * the filter being the derivative of a Gaussian of 0.8 pixels, as outlines are read.
 */
function steepest({ inside, ground }: EdgeLevels, blur: number): number {
  const [from, to] = [lightOf(inside), lightOf(ground)];
  const step = 0.01;
  const level = (x: number) => coded(from + (to - from) * normalShareBelow(x / blur));
  let best = { x: 0, slope: 0 };
  for (let x = -2 * blur; x <= 2 * blur; x += step) {
    let slope = 0;
    for (let k = -3; k <= 3; k += 0.05) slope += k * Math.exp(-0.5 * (k / 0.8) ** 2) * level(x + k);
    if (Math.abs(slope) > Math.abs(best.slope)) best = { x, slope };
  }
  return -best.x;
}

test('white bleeds over a lighter edge as much less than over a black one as a coded picture shows', () => {
  const square = { inside: 40, ground: 220 };
  for (const blur of [0.7, 1.2])
    for (const edge of [
      { inside: 20, ground: 220 },
      { inside: 60, ground: 160 },
      { inside: 90, ground: 220 },
      { inside: 150, ground: 220 },
      { inside: 190, ground: 120 },
    ]) {
      const drawn = steepest(edge, blur) / steepest(square, blur);
      expect(Math.abs(bleedShare(edge) / bleedShare(square) - drawn)).toBeLessThan(0.1);
      expect(Math.sign(bleedShare(edge))).toBe(Math.sign(edge.ground - edge.inside));
    }
});

test('without contrast nothing bleeds', () => expect(bleedShare({ inside: 128, ground: 128 })).toBe(0));

test('levels are read clear of the blur on both sides, and none where the photo shows none', () => {
  const [width, height] = [200, 120];
  // a square 80 pixels wide whose cells are 10, white around; below it paper in shadow with a grey band
  const luma = new Uint8Array(width * height).map((_, i) => {
    const [x, y] = [i % width, Math.floor(i / width)];
    if (y >= 100) return y >= 110 ? 70 : 150;
    return x >= 60 && x < 140 && y >= 10 && y < 90 ? 40 : 220;
  });
  const flat = new Uint8Array((width * height) / 4).fill(128);
  const photo: Photo = { file: 'made-up.jpg', width, height, luma, blueDifference: flat, redDifference: flat };
  const corners = [
    [59.5, 9.5],
    [139.5, 9.5],
    [139.5, 89.5],
    [59.5, 89.5],
  ] as const;
  expect(squareLevels(photo, [{ corners }])).toEqual({ inside: 40, ground: 220 });
  expect(squareLevels(photo, [])).toBeUndefined();
  const point: OutlinePoint = { t: 0, side: 1, pixel: [100, 109.5], normal: [0, -1], slope: 40, paired: true };
  expect(outlineLevels(photo, [point])).toEqual({ inside: 70, ground: 150 });
  expect(outlineLevels(photo, [{ ...point, pixel: [300, 109.5] }])).toBeUndefined();
});
