import fc from 'fast-check';
import { expect, test } from 'vitest';
import { halve, samplePhoto, samplePlane } from '../../src/vision/sampling.ts';

const width = 9;
const height = 7;
/** A plane that rises evenly, so that between its pixels only one value is right. */
const even = (x: number, y: number) => 20 + 3 * x + 11 * y;
const values = Uint8Array.from({ length: width * height }, (_, i) => even(i % width, Math.floor(i / width)));

const place = (low: number, high: number) => fc.double({ min: low, max: high, noNaN: true });

test('between pixels a sample is as an evenly rising plane has it, whatever the border is', () => {
  fc.assert(
    fc.property(place(0, width - 1.01), place(0, height - 1.01), (x, y) => {
      for (const border of ['unknown', 'nearest'] as const)
        expect(samplePlane({ values, width, height, border }, x, y)).toBeCloseTo(even(x, y), 9);
    }),
  );
});

test('beyond the outermost pixels nothing is known, or the border goes on', () => {
  fc.assert(
    fc.property(place(-30, 40), place(-30, 40), (x, y) => {
      const inside = x >= 0 && y >= 0 && x < width - 1 && y < height - 1;
      expect(Number.isFinite(samplePlane({ values, width, height, border: 'unknown' }, x, y))).toBe(inside);
      const nearest = even(Math.min(Math.max(x, 0), width - 1), Math.min(Math.max(y, 0), height - 1));
      expect(Math.abs(samplePlane({ values, width, height, border: 'nearest' }, x, y) - nearest)).toBeLessThan(0.02);
    }),
  );
});

test("colour goes on to a photo's last row and column, where the half-size planes have no neighbour any more", () => {
  const size = { width: 6, height: 4 };
  const photo = {
    ...size,
    file: 'a.jpg',
    luma: new Uint8Array(24).fill(90),
    blueDifference: new Uint8Array(6).fill(100),
    redDifference: new Uint8Array(6).fill(150),
  };
  expect(samplePhoto(photo as never, 4.9, 2.9)).toEqual([90, 100, 150]);
  expect(samplePhoto(photo as never, 0, 0)).toEqual([90, 100, 150]);
  expect(samplePhoto(photo as never, 5.5, 1)[0]).toBeNaN();
});

test('the half-size image keeps its places: an even rise stays where it was', () => {
  const half = halve({ luma: values, width, height });
  for (let y = 0; y < half.height; y++)
    for (let x = 0; x < half.width; x++)
      expect(Math.abs(half.luma[y * half.width + x]! - even(2 * x + 0.5, 2 * y + 0.5))).toBeLessThanOrEqual(0.5);
});
