import { describe, expect, test } from 'vitest';
import { classGrid, likeliestClasses } from '../../../src/vision/finder/class_grid.ts';
import type { Finder } from '../../../src/vision/finder/finder.ts';
import { lookAlongStrip } from '../../../src/vision/finder/look_along_strip.ts';
import { lookAtLane, tipPeaks } from '../../../src/vision/finder/look_at_lane.ts';
import { emptyPlanes, resample } from '../../../src/vision/finder/resample.ts';
import { acrossAt, laneSheet, sheetPoint, sheetScale, stripSheet } from '../../../src/vision/finder/sheet.ts';
import { classNames } from '../../../src/vision/finder/sighting.ts';
import { cameraCentre, project } from '../../../src/geometry/camera.ts';
import { dot, subtract } from '../../../src/geometry/vector.ts';
import { emptyPhoto } from '../../../src/photo/luma.ts';
import { reverseLane, lanePoint } from '../../../src/vision/lane.ts';
import type { View } from '../../../src/vision/strip.ts';
import { cameraLookingAt } from '../../world/ring_scene.ts';
import { straightAxis } from '../../world/synthetic_blank.ts';

const axis = straightAxis(200, 1, 3, 15);
const lane = { origin: [0, 0], direction: [1, 0], from: -50, to: 250 } as const;
const camera = cameraLookingAt([100, 40, 500], [100, 0, 0], 1000, 640, 320);
/** A photo whose luma tells a pixel's column, without colour. */
const photo = emptyPhoto('a.jpg', 640, 320);
photo.luma.forEach((_, i) => (photo.luma[i] = Math.floor((i % 640) / 4)));
photo.blueDifference.fill(128);
photo.redDifference.fill(128);
const view: View = { photo, camera };

/** A finder that says of every cell that it is paper, and of some what they are told to be. */
function finder(
  stride: number,
  channels: number,
  first: number,
  hot: Record<string, number> = {},
): { run: Finder['strip']['run'] } {
  return {
    run: (_planes, width, rows) => {
      const cells = (width / stride) * (rows / stride);
      const output = new Float32Array(channels * cells).fill(-9);
      output.fill(5, (first + classNames.indexOf('paper')) * cells, (first + classNames.indexOf('paper') + 1) * cells);
      for (const [place, value] of Object.entries(hot)) {
        const [channel, row, column] = place.split(' ').map(Number) as [number, number, number];
        output[channel * cells + row * (width / stride) + column] = value;
      }
      return output;
    },
  };
}
const looking = (strip: ReturnType<typeof finder>, atLane = strip) => ({ strip, lane: atLane }) as unknown as Finder;

describe('a sheet to look at', () => {
  test('lies square to the axis and to the line of sight, its middle row on the axis', () => {
    const sheet = stripSheet(camera, axis, { from: 50, to: 80 });
    const direction = sheet.directions[30]!;
    expect(dot(direction, [1, 0, 0])).toBeCloseTo(0, 12);
    expect(dot(direction, subtract(sheet.points[30]!, cameraCentre(camera)))).toBeCloseTo(0, 9);
    expect(direction[1]).toBeGreaterThan(0);
    expect(sheetPoint(sheet, sheet.rows / 2, 30)).toEqual(sheet.points[30]);
    expect(sheetPoint(sheet, sheet.rows / 2, 30.5)[0]).toBeCloseTo(50 + 30.5 * sheet.step, 9);
  });

  test('of the lane lies on the paper, and its scale is the photo’s', () => {
    const sheet = laneSheet(lane, { from: 0, to: 100 });
    expect(sheetPoint(sheet, 10, 40)).toEqual(lanePoint(lane, 20, acrossAt(sheet, 10), 0));
    const [a, b] = [project(camera, [20, 0, 0])!, project(camera, [21, 0, 0])!];
    expect(sheetScale(camera, sheet, 40)).toBeCloseTo(Math.hypot(a[0] - b[0], a[1] - b[1]), 2);
  });
});

describe('a photo resampled over a sheet', () => {
  test('shows each place as the photo does, grey where it has no colour', () => {
    const sheet = laneSheet(lane, { from: 60, to: 140 });
    const planes = resample(view, sheet);
    const plane = planes.rows * planes.width;
    for (const [row, column] of [
      [100, 20],
      [128, 100],
      [160, 150],
    ] as const) {
      const [x] = project(camera, sheetPoint(sheet, row, column))!;
      const [red, green, blue] = [0, 1, 2].map((k) => planes.data[k * plane + row * planes.width + column]!);
      expect(Math.abs(255 * red! - (x - 1.5) / 4)).toBeLessThan(1);
      expect([green, blue]).toEqual([red, red]);
    }
  });

  test('is black beyond the photo and beyond the sheet’s own columns', () => {
    const planes = resample(view, laneSheet(lane, { from: 200, to: 250 }));
    expect(planes.columns).toBe(101);
    expect(planes.width).toBe(128);
    expect(planes.data[128 * planes.width + 127]).toBe(0);
    expect(Array.from(emptyPlanes(2, 3).data)).toEqual(Array(3 * 2 * 32).fill(0));
  });
});

describe('what lies where', () => {
  test('is the likeliest class with its probability; black cells are not certain of anything', () => {
    const planes = emptyPlanes(32, 40);
    planes.data.fill(0.5);
    planes.data.fill(0, 0, 0);
    const cells = 8 * 16;
    const output = new Float32Array(classNames.length * cells);
    output[classNames.indexOf('ring') * cells + 17] = 3;
    const seen = likeliestClasses(output, 0, planes, 4);
    expect([seen.rows, seen.columns]).toEqual([8, 10]);
    expect(classNames[seen.classes[10 + 1]!]).toBe('ring');
    const p = Math.exp(3) / (Math.exp(3) + classNames.length - 1);
    expect(seen.certainty[11]).toBe(Math.round(255 * p));
    const black = likeliestClasses(output, 0, emptyPlanes(32, 40), 4);
    expect(new Set(black.certainty)).toEqual(new Set([0]));
  });

  test('has its cells’ places on the sheet: the first one’s middle lies half a cell in', () => {
    const sheet = laneSheet(lane, { from: 0, to: 31 });
    const grid = classGrid(new Float32Array(classNames.length * 128 * 32), 0, emptyPlanes(256, 63), sheet, 2);
    expect([grid.from, grid.step, grid.across]).toEqual([0.25, 1, acrossAt(sheet, 0.5)]);
  });
});

describe('a look along the blank', () => {
  test('tells a ring where the network has its centre, in millimetres', () => {
    // kind 0 at cell (30, 40), radius twice the unit, no shift within the cell
    const seen = lookAlongStrip(
      looking(finder(4, 8 + classNames.length, 8, { '0 30 40': 3, '3 30 40': 1, '6 30 40': 0, '7 30 40': 0 })),
      view,
      5,
      axis,
      { from: 20, to: 180 },
    )!;
    const [ring, ...more] = seen.sightings;
    expect(more).toEqual([]);
    expect(ring).toMatchObject({ view: 5, kind: 'ring' });
    expect(ring!.along).toBeCloseTo(seen.covers.from + (40.5 * 4 - 0.5) * 0.3, 6);
    expect(ring!.across).toBeCloseTo((30.5 * 4 - 0.5 - 112) * 0.3, 6);
    expect(ring!.radius).toBeCloseTo(20 * 0.3, 6);
    expect(ring!.score).toBeCloseTo(1 / (1 + Math.exp(-3)), 6);
    expect(classNames[seen.classes.classes[0]!]).toBe('paper');
  });

  test('of a photo that shows none of it there is none', () => {
    expect(lookAlongStrip(looking(finder(4, 22, 8)), view, 0, axis, { from: 1000, to: 1100 })).toBeUndefined();
  });
});

describe('a look at the lane', () => {
  const atLane = finder(2, 1 + classNames.length, 1, { '0 64 50': 2, '0 64 54': 1, '0 20 90': 1.5 });

  test('tells tips, the surest first, none close beside a surer one', () => {
    const seen = lookAtLane(looking(atLane), view, 3, lane)!;
    expect(seen.view).toBe(3);
    expect(seen.tips.map(({ score }) => +score.toFixed(3))).toEqual([0.881, 0.818]);
    expect(seen.tips[0]!.v).toBeCloseTo((64.5 * 2 - 0.5 - 128) * 0.5, 6);
  });

  test('counts no tip beyond the sheet’s own columns', () => {
    const planes = emptyPlanes(32, 20);
    const output = new Float32Array(16 * 16).fill(-9);
    output[5 * 16 + 15] = 4;
    expect(tipPeaks(output, planes)).toEqual([]);
  });

  test('where the photo shows none of it there is none; a lane turned round is the same line', () => {
    expect(lookAtLane(looking(atLane), view, 0, { ...lane, from: 2000, to: 2300 })).toBeUndefined();
    const [x, y] = lanePoint(lane, 30, 7, 2);
    expect(lanePoint(reverseLane(lane), -30, -7, 2)).toEqual([expect.closeTo(x, 12), expect.closeTo(y, 12), 2]);
  });
});
