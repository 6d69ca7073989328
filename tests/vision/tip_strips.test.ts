import { expect, test } from 'vitest';
import { emptyPhoto } from '../../src/photo/luma.ts';
import type { Pixel } from '../../src/geometry/vector.ts';
import { type Line, sidesAlong, stripsAlong } from '../../src/vision/tip_strips.ts';

/** Ten pixels a mm, the axis along x at y = 50, outward to the left; luma grows by one each row down. */
const photo = emptyPhoto('drawn', 200, 100);
for (let i = 0; i < photo.luma.length; i++) photo.luma[i] = Math.floor(i / 200);
const line: Line = { at: [100, 50], normal: [-1, 0], perMm: 10, inward: 40, count: 80 };
const radius = 1;
const beside = (across: number): Pixel => [100, 50 + 10 * across];

test('the middle, the ground on both sides and each side by itself are means across, outward along the line', () => {
  const [middle, left, right] = stripsAlong(photo, line, radius, beside);
  expect(middle!.luma[40]).toBeCloseTo(50, 6);
  // 1.1 mm beyond the side in the mean
  expect(left!.luma[40]! - middle!.luma[40]!).toBeCloseTo(21, 6);
  expect(right!.luma[40]! - middle!.luma[40]!).toBeCloseTo(-21, 6);
  const [one, other] = sidesAlong(photo, line, radius, beside);
  expect(one!.luma[0]! - other!.luma[0]!).toBeCloseTo(10, 6);
  expect(one!.luma).toHaveLength(line.count);
});

test('a strip of which a line is not in view is none', () => {
  const [middle, left] = stripsAlong(photo, line, radius, (across) => (across > 1 ? undefined : beside(across)));
  expect(middle).toBeDefined();
  expect(left).toBeUndefined();
});
