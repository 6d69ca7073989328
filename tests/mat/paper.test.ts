import { expect, test } from 'vitest';
import { heightWeights, openFactor, openShare } from '../../src/mat/paper.ts';
import { tagPlace, tagsPerTile, type TilePoint } from '../../src/mat/tile.ts';

const centres = Array.from({ length: tagsPerTile }, (_, i) => tagPlace(i)!.centre);
const heightAt = (heights: readonly number[], place: TilePoint) =>
  heightWeights(place).reduce((sum, weight, i) => sum + weight * heights[i]!, 0);

test('at its squares the page is as high as they are, and nothing is left open but the share that is theirs alone', () => {
  const heights = centres.map((_, i) => Math.sin(2 * i));
  for (const [i, centre] of centres.entries()) {
    expect(Math.abs(heightAt(heights, centre) - heights[i]!)).toBeLessThan(0.02);
    expect(openShare(centre)).toBeLessThan(0.002);
  }
});

test('a wave longer than the paper’s grain is followed between the squares, and far from all it is flat', () => {
  const wave = ([u]: TilePoint) => Math.cos((2 * Math.PI * u) / 320);
  const heights = centres.map(wave);
  const [a, b] = [centres[0]!, centres[1]!];
  const between: TilePoint = [(a[0] + b[0]) / 2, a[1]];
  expect(Math.abs(heightAt(heights, between) - wave(between))).toBeLessThan(0.15);
  expect(Math.abs(heightAt(heights, [2000, 0]))).toBeLessThan(1e-6);
  expect(openShare([2000, 0])).toBeCloseTo(1, 6);
});

test('what the squares leave open at some places together is each place’s own share, and alike next to each other', () => {
  const places: TilePoint[] = [
    [0, 0],
    [4, 0],
    [90, 20],
  ];
  const factor = openFactor(places);
  const covariance = (i: number, j: number) =>
    places.reduce((sum, _, k) => sum + factor[3 * i + k]! * factor[3 * j + k]!, 0);
  for (const [i, place] of places.entries()) expect(covariance(i, i)).toBeCloseTo(openShare(place), 4);
  expect(covariance(0, 1) / Math.sqrt(covariance(0, 0) * covariance(1, 1))).toBeGreaterThan(0.95);
});
