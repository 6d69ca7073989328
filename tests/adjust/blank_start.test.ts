import { expect, test } from 'vitest';
import { gripFrom, plannedWidth, tipEnd } from '../../src/adjust/blank_start.ts';
import type { Blank } from '../../src/plan/plan.ts';
import { laneSpacing } from '../../src/vision/lane_edges.ts';

const blank: Blank = { length: 600, tipDiameter: 2, buttDiameter: 8, finish: 'dark' };

/** Crossings at every station of the lane between two places, mm. */
const chain = (from: number, to: number) =>
  Array.from({ length: Math.floor((to - from) / laneSpacing) + 1 }, (_, i) => {
    const t = from + i * laneSpacing;
    return { t, low: -1, high: 1 };
  });

test('the blank begins where a chain without gaps does, not at a speck beyond its end', () => {
  const speck = chain(60, 60);
  expect(tipEnd([[...speck, ...chain(100, 400)]], [{ from: 0, to: 500 }])).toEqual({ t: 100, seen: true });
  expect(tipEnd([speck], [{ from: 0, to: 500 }])).toBeUndefined();
});

test('an end at the margin of its photo is not seen; another photo with paper beyond it shows it', () => {
  const cut = { crossings: chain(100, 400), shown: { from: 98, to: 500 } };
  const whole = { crossings: chain(104, 300), shown: { from: 20, to: 320 } };
  expect(tipEnd([cut.crossings], [cut.shown])).toEqual({ t: 100, seen: false });
  const { t, seen } = tipEnd([cut.crossings, whole.crossings], [cut.shown, whole.shown])!;
  expect(seen).toBe(true);
  expect(t).toBe(104);
});

test('the grip begins where nothing as wide as the blank shows for good; a hidden stretch is none', () => {
  const shown = [{ from: 0, to: 800 }];
  const whole = [...chain(100, 250), ...chain(285, 500)];
  const grip = gripFrom([whole], shown, blank, 100);
  expect(Math.abs(grip - 500)).toBeLessThan(20);
});

test('what hides much of the blank is no grip where more of the blank follows than a split grip leaves bare', () => {
  const long: Blank = { ...blank, length: 1500 };
  const shown = [{ from: 0, to: 1800 }];
  const hidden = (to: number) => gripFrom([[...chain(100, 800), ...chain(900, to)]], shown, long, 100);
  expect(Math.abs(hidden(1400) - 1400)).toBeLessThan(20);
  // the piece of blank between the parts of a split grip
  expect(Math.abs(hidden(1050) - 800)).toBeLessThan(20);
});

test('the planned width runs from tip to butt and no further', () => {
  expect([-10, 0, 300, 600, 900].map((s) => plannedWidth(blank, s))).toEqual([2, 2, 5, 8, 8]);
});
