import { beforeAll, describe, expect, test, vi } from 'vitest';
import type { BlankAxis } from '../../src/geometry/blank_axis.ts';
import { collarColour } from '../../src/vision/collar_colour.ts';
import { outlineSteps } from '../../src/vision/outline_steps.ts';
import type { View } from '../../src/vision/strip.ts';
import { layTiles, walk, type World } from '../world/world.ts';
import { renderPhoto } from '../world/world_raster.ts';
import { makeRod, type RodOptions } from '../world/world_rod.ts';

/** Drawn photos of a blank with a sleeve on it, a check before its grip, a band of tape and marks. */
vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

const length = 460;
const rod: RodOptions = {
  length,
  tipRadius: 1.4,
  buttRadius: 3.6,
  tipHeight: 1.6,
  buttHeight: 12,
  grip: { from: 405, radius: 11 },
  sleeves: [
    { from: 150, to: 192, stands: 0.7 },
    // tape of two layers
    { from: 260, to: 275, stands: 0.15 },
    { from: 402, to: 405, stands: 1.6 },
  ],
  marks: [{ at: 310, width: 1.5, light: [0.7, 0.7, 0.68] }],
};
const world: World = {
  ...layTiles({ tiles: 2 }),
  cameras: walk({ photos: 2, from: 160, to: length - 80, distance: 330, width: 1600, height: 1200 }),
};
/** the drawn axis, and the taper as a fit that knows of no sleeve would have it */
const axis: BlankAxis = {
  from: 0,
  step: 5,
  points: Array.from({ length: 93 }, (_, i) => [5 * i, 0, 1.6 + ((12 - 1.6) * 5 * i) / length]),
  radii: Array.from({ length: 93 }, (_, i) => 1.4 + (2.2 * 5 * i) / length),
};

describe('steps in the outline', () => {
  let views: View[];
  beforeAll(() => {
    const drawn = makeRod(rod);
    views = world.cameras.map((shot, i) => ({
      camera: shot.camera,
      photo: renderPhoto(world, shot, { rod: drawn, seed: i + 1 }),
    }));
  });

  test('a sleeve is found with its ends, tape and marks are not', () => {
    const steps = outlineSteps(views, axis, { from: 90, to: 395 });
    expect(steps.length).toBe(1);
    expect(Math.abs(steps[0]!.from - 150)).toBeLessThan(0.6);
    expect(Math.abs(steps[0]!.to - 192)).toBeLessThan(0.6);
    expect(Math.abs(steps[0]!.thicker - 1.4)).toBeLessThan(0.2);
  });

  test('a check before the grip is told from it', () => {
    const [check, grip, ...more] = outlineSteps(views, axis, { from: 300, to: 420 }, 402);
    expect(more).toEqual([]);
    expect(Math.abs(check!.from - 402)).toBeLessThan(0.6);
    expect(Math.abs(check!.to - 405)).toBeLessThan(0.6);
    expect(Math.abs(check!.thicker - 3.2)).toBeLessThan(0.3);
    expect(check!.uneven).toBeLessThan(0.2);
    expect(check!.toEnd).toBe(false);
    expect(Math.abs(grip!.from - 405)).toBeLessThan(0.6);
    expect(grip!.thicker).toBeGreaterThan(12);
    expect(grip!.toEnd).toBe(true);
  });

  test('a check of another colour than the grip is told from the grip’s own front', () => {
    const collar = { from: 402, to: 405, radius: 4.8 };
    expect(collarColour(views, axis, collar, { from: 405, to: 421, radius: 11 })).toBe('other');
    // two stretches of one grip
    expect(collarColour(views, axis, { from: 407, to: 410, radius: 11 }, { from: 410, to: 424, radius: 11 })).toBe(
      'same',
    );
    // two photos that look along it tell nothing
    expect(collarColour(views.slice(0, 1), axis, collar, { from: 405, to: 421, radius: 11 })).toBeUndefined();
  });

  test('where every photo looks at a slant nothing is told', () => {
    expect(outlineSteps(views.slice(0, 1), axis, { from: 300, to: 420 }, 402)).toEqual([]);
  });
});
