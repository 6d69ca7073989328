import { expect, test } from 'vitest';
import type { View } from '../../src/vision/strip.ts';
import { stripShift } from '../../src/vision/strip_shift.ts';
import { cameraOver, type Reflectance, renderBlank, straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(240, 2, 3, 10);
const shared = { from: 20, to: 220 };
/** How far two photos of one ring, 30 mm over the blank, show it apart along. */
const parallax = 17;

/** A dark blank with bands at `bands`, and a ring in front of it that shows at `ring`. */
function seen(bands: readonly number[], ring: number): View {
  const paint = (s: number): Reflectance => {
    const rim = Math.abs(Math.abs(s - ring) - 8) < 1.5;
    const band = bands.some((at) => Math.abs(s - at) < 2.5);
    return rim ? [0.8, 0.8, 0.8] : band ? [0.3, 0.3, 0.3] : [0.02, 0.02, 0.02];
  };
  return renderBlank({ axis, paint, noise: 1.5 }, cameraOver(120, 600, { width: 1300, height: 90 }));
}

const before = (ring: number) => ({ from: ring - 18, to: ring + 18 });
const rings = [[before(110)], [before(110 + parallax)]] as const;

test('a ring that shows farther along from another place is no slide of the blank under it', () => {
  const [a, b] = [seen([], 110), seen([], 110 + parallax)];
  expect(stripShift(a, b, axis, shared, [[], []]).shift).toBeCloseTo(parallax, 0);
  const without = stripShift(a, b, axis, shared, rings);
  expect(without.best - without.unshifted).toBeLessThan(0.5);
  expect(without.compared).toBeGreaterThan(130);
  expect(without.compared).toBeLessThan(160);
});

test('the bands beside it tell by how much the blank slid', () => {
  const bands = [40, 66, 170, 207];
  const [a, b] = [
    seen(bands, 110),
    seen(
      bands.map((at) => at + 5),
      110 + parallax,
    ),
  ];
  const { shift, best, unshifted } = stripShift(a, b, axis, shared, rings);
  expect(shift).toBeCloseTo(5, 0);
  expect(best).toBeGreaterThan(0.6);
  expect(best - unshifted).toBeGreaterThan(0.5);
  // and where it lay still
  expect(stripShift(a, seen(bands, 110 + parallax), axis, shared, rings).shift).toBeCloseTo(0, 0);
});
