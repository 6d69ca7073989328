import { describe, expect, test } from 'vitest';
import { prior } from '../../src/adjust/prior.ts';
import { crossSection, rollDirection } from '../../src/geometry/blank_axis.ts';
import { project } from '../../src/geometry/camera.ts';
import { addScaled } from '../../src/geometry/vector.ts';
import { tagSide, tileTagIds } from '../../src/mat/tile.ts';
import { jacobianMiss } from './derivatives.ts';
import { blankOnPaper, paint } from './made_up_sightings.ts';
import { madeStrip } from './made_strip.ts';
import { cameraLookingAt, takePhoto } from './ring_scene.ts';
import { seededNormal, seededUniform } from './seeded_random.ts';
import { cameraOver, renderBlank, straightAxis } from './synthetic_blank.ts';
import { cornersInWorld, layTiles, observeTags, walk, type World } from './world.ts';
import { classNames } from '../../src/vision/finder/sighting.ts';

test('random numbers repeat, and are spread as they say', () => {
  const [a, b] = [seededNormal(3), seededNormal(3)];
  const drawn = Array.from({ length: 4000 }, () => a());
  expect(drawn.slice(0, 5)).toEqual(Array.from({ length: 5 }, () => b()));
  const mean = drawn.reduce((sum, v) => sum + v, 0) / drawn.length;
  expect(Math.abs(mean)).toBeLessThan(0.06);
  expect(Math.sqrt(drawn.reduce((sum, v) => sum + v * v, 0) / drawn.length)).toBeCloseTo(1, 1);
  const uniform = seededUniform(9);
  const even = Array.from({ length: 1000 }, uniform);
  expect(Math.min(...even)).toBeGreaterThanOrEqual(0);
  expect(Math.max(...even)).toBeLessThan(1);
});

describe('the bench', () => {
  const world: World = {
    ...layTiles({ tiles: 2, printScale: { along: 1.01, across: 1 } }),
    cameras: walk({ photos: 2, from: 60, to: 300 }),
  };

  test('has its squares printed as large as the print’s scale makes them, on the paper', () => {
    const [a, b, c] = cornersInWorld(world, 3)!;
    expect(Math.hypot(b![0] - a![0], b![1] - a![1])).toBeCloseTo(1.01 * tagSide, 9);
    expect(Math.hypot(c![0] - b![0], c![1] - b![1])).toBeCloseTo(tagSide, 9);
    expect(a![2]).toBe(0);
  });

  test('shows in its photos where its cameras project it, and no square that is cut off', () => {
    for (const shot of world.cameras)
      for (const { id, corners } of observeTags(world, shot)) {
        expect([...tileTagIds(0), ...tileTagIds(1)]).toContain(id);
        corners.forEach((corner, i) => expect(corner).toEqual(project(shot.camera, cornersInWorld(world, id)![i]!)));
        expect(corners.every(([x, y]) => x > 0 && y > 0 && x < shot.width && y < shot.height)).toBe(true);
      }
  });
});

describe('pictures', () => {
  const axis = straightAxis(60, 3, 3, 10);

  test('of a painted blank show the paint where the surface projects', () => {
    const painted = renderBlank(
      { axis, noise: 0, paint: (s, roll) => (s > 30 && roll > 0 ? [0.8, 0.8, 0.8] : [0.02, 0.02, 0.02]) },
      cameraOver(30, 400, { width: 500, height: 80 }),
    );
    const at = (s: number, roll: number) => {
      const section = crossSection(axis, s);
      const [x, y] = project(painted.camera, addScaled(section.point, rollDirection(section, roll), section.radius))!;
      return painted.photo.luma[Math.round(y) * 500 + Math.round(x)]!;
    };
    expect(at(40, 30)).toBeGreaterThan(150);
    for (const [s, roll] of [
      [40, -30],
      [20, 30],
      [20, -30],
    ] as const)
      expect(at(s, roll)).toBeLessThan(60);
  });

  test('of a ring scene show blank, band and paper where they lie', () => {
    const camera = cameraLookingAt([30, 10, 300], [30, 0, 10], 900, 240, 120);
    const { photo } = takePhoto(
      { axis, rings: [], bands: [{ from: 25, to: 35, grey: 180 }], paper: 220, blank: 40, ring: 70 },
      camera,
      { width: 240, height: 120 },
      0,
      1,
    );
    const at = (x: number, y: number, z: number) => {
      const [u, v] = project(camera, [x, y, z])!;
      return photo.luma[Math.round(v) * 240 + Math.round(u)]!;
    };
    expect(at(10, 0, 13)).toBeLessThan(60);
    expect(at(30, 0, 13)).toBeGreaterThan(120);
    expect(at(10, 14, 0)).toBe(220);
  });

  test('a made strip holds the colours it was given', () => {
    const strip = madeStrip({ from: 5, to: 10, noise: 0, colour: (s, w) => [10 * s, 128 + 50 * w, 128] });
    expect(strip.columns).toBe(51);
    expect(strip.luma[20]).toBeCloseTo(10 * (5 + 20 * strip.step), 4);
    expect(strip.blueDifference[3 * strip.columns]).toBeCloseTo(128 + 50 * strip.across[3]!, 4);
  });

  test('a class map is blank along its middle, paper beside it, and what is painted in', () => {
    const grid = blankOnPaper(axis, { from: 0, to: 50 });
    paint(grid, 'tape', { along: 20, across: 10, half: 2 });
    const at = (along: number, across: number) =>
      classNames[grid.classes[(across - grid.across) * grid.columns + along - grid.from]!];
    expect([at(10, 0), at(10, 8), at(20, 10), at(20, 0)]).toEqual(['blank', 'paper', 'tape', 'blank']);
  });
});

test('a Jacobian that is wrong is noticed', () => {
  const right = prior(0, 1, 0.5);
  const wrong: typeof right = {
    ...right,
    evaluate: (values, residuals, jacobian) => (right.evaluate(values, residuals, jacobian), jacobian?.fill(1.9)),
  };
  expect(jacobianMiss(right, Float64Array.of(3), () => 1e-3)).toBeLessThan(1e-9);
  expect(jacobianMiss(wrong, Float64Array.of(3), () => 1e-3)).toBeGreaterThan(0.04);
});
