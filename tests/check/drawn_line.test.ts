import { expect, test } from 'vitest';
import type { BlankSolution } from '../../src/adjust/blank_adjustment.ts';
import { drawnLine } from '../../src/check/drawn_line.ts';
import { cameraOver, type Reflectance, renderBlank, straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(110, 4, 4, 12);
const drawn = (paint: (s: number, roll: number) => Reflectance, tilts: readonly number[]) => {
  const list = tilts.map((tilt, i) =>
    renderBlank({ axis, paint, noise: 1.5, seed: i + 1 }, cameraOver(55, 600, { tilt, width: 620, height: 90 })),
  );
  const blank = {
    axis,
    grip: undefined,
    axisSigma: { step: 10, side: Array(12).fill(0.05), height: Array(12).fill(0.1) },
  } as unknown as BlankSolution;
  return { blank, views: { list, photo: list.map((_, i) => i) } };
};
const BLACK: Reflectance = [0.012, 0.012, 0.013];
const stroke = (s: number, roll: number): Reflectance =>
  s > 30 && s < 80 && Math.abs(((roll - 12) * Math.PI * 4) / 180) < 0.7 ? [0.7, 0.7, 0.68] : BLACK;

test('a line drawn along the blank has the roll it was drawn at, and from one photo a doubt that no second one settles', () => {
  const [one, two] = [[0], [0, 16]].map((tilts) => drawnLine(drawn(stroke, tilts))!);
  for (const { from, to, roll } of [one!, two!]) {
    expect(Math.abs(roll.value - 12)).toBeLessThan(3 * roll.u);
    expect(Math.abs(from - 30)).toBeLessThan(6);
    expect(Math.abs(to - 80)).toBeLessThan(6);
  }
  expect(one!.roll.u).toBeGreaterThan(1.5);
  expect(two!.roll.u).toBeLessThan(1.5);
});

test('of a bare blank there is none', () => {
  expect(drawnLine(drawn(() => BLACK, [0]))).toBeUndefined();
});
