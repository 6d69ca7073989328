import { expect, test } from 'vitest';
import type { Photo } from '../../src/photo/photo.ts';
import { edgesAcross, noiseNear, slopeOfNoise } from '../../src/vision/edge_profile.ts';
import { seededNormal } from '../world/seeded_random.ts';

const size = 120;
/** A photo of one grey level a pixel, as `level` says. */
function photoOf(level: (x: number, y: number) => number): Photo {
  const luma = new Uint8Array(size * size);
  for (let i = 0; i < luma.length; i++)
    luma[i] = Math.min(Math.max(Math.round(level(i % size, Math.floor(i / size))), 0), 255);
  const half = new Uint8Array((size / 2) ** 2).fill(128);
  return { file: 'drawn.jpg', width: size, height: size, luma, blueDifference: half, redDifference: half };
}
/** A soft step from 0 to 1 at zero, about as a lens of a pixel's blur draws an edge. */
const step = (distance: number) => 1 / (1 + Math.exp(-1.7 * distance));

test.each([0, 25, 60, 90, 140])(
  'an edge square to a walk at %d degrees is placed to a twentieth of a pixel',
  (turn) => {
    const [c, s] = [Math.cos((turn * Math.PI) / 180), Math.sin((turn * Math.PI) / 180)];
    for (const place of [-2.7, 0, 0.31, 3.5]) {
      const photo = photoOf((x, y) => 50 + 150 * step((x - 60) * c + (y - 60) * s - place));
      const [edge, ...others] = edgesAcross(photo, [60, 60], [c, s], { reach: 8, breadth: 6, least: 5 });
      expect(others).toEqual([]);
      expect(Math.abs(edge!.offset - place)).toBeLessThan(0.05);
      expect(edge!.slope).toBeGreaterThan(0);
      expect(edgesAcross(photo, [60, 60], [-c, -s], { reach: 8, breadth: 6, least: 5 })[0]!.slope).toBeLessThan(0);
    }
  },
);

test('a band from dark to light and back has two edges, and what lies beyond reach is none', () => {
  const photo = photoOf((x) => 40 + 120 * (step(x - 55) - step(x - 63)));
  expect(
    edgesAcross(photo, [59, 60], [1, 0], { reach: 6, breadth: 4, least: 5 }).map(({ slope }) => Math.sign(slope)),
  ).toEqual([1, -1]);
  expect(edgesAcross(photo, [59, 60], [1, 0], { reach: 3, breadth: 4, least: 5 })).toEqual([]);
});

test('the noise is told beside a slope and an edge, and hardly any walk meets an edge in noise alone', () => {
  for (const sigma of [2, 5]) {
    const normal = seededNormal(sigma);
    const noisy = photoOf((x, y) => 60 + 0.3 * y + (x > 70 ? 60 : 0) + sigma * normal());
    const told = noiseNear(noisy, [60, 60], 50);
    expect(Math.abs(told / sigma - 1)).toBeLessThan(0.12);
    const bare = photoOf(() => 128 + sigma * normal());
    const walks = Array.from({ length: 400 }, (_, i) => [12 + (i % 20) * 5, 12 + Math.floor(i / 20) * 5] as const);
    const met = walks.filter(
      (at) => edgesAcross(bare, at, [1, 0], { reach: 4, breadth: 3, least: slopeOfNoise(sigma, 3) }).length > 0,
    );
    expect(met.length).toBeLessThan(40);
  }
});
