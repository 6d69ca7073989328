import { describe, expect, test } from 'vitest';
import { type ClassName, classNames } from '../../src/vision/finder/sighting.ts';
import { beyondPages, type Lane } from '../../src/vision/lane.ts';
import { isBareInLane, isCoveredBeyond, isCoveredInLane } from '../../src/vision/lane_bare.ts';
import { axisPoint } from '../../src/geometry/blank_axis.ts';
import { cameraLookingAt } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

/** The axis runs along x, 6 mm over the paper; the lane lies under it. */
const axis = straightAxis(400, 1.5, 3.5, 6);
const lane: Lane = { origin: [0, 0], direction: [1, 0], from: -50, to: 450 };
const cameras = [cameraLookingAt([120, -80, 400], [200, 0, 0], 1200, 1600, 900), undefined];
const stretch = { from: 200, to: 240 };

/** What a finder would say of the lane: one class all over, then others by what a cell's place is. */
function lookOf(classAt: (t: number, v: number) => ClassName, certainty = 255) {
  const [columns, rows, step] = [500, 61, 1];
  const cells = Array.from({ length: columns * rows }, (_, i) =>
    classNames.indexOf(classAt(-50 + (i % columns) * step, -30 + Math.floor(i / columns) * step)),
  );
  const classes = {
    from: -50,
    across: -30,
    step,
    rows,
    columns,
    classes: Uint8Array.from(cells),
    certainty: new Uint8Array(columns * rows).fill(certainty),
  };
  return { lane, seen: [{ classes, tips: [] }, undefined] } as unknown as Parameters<typeof isBareInLane>[0];
}

const bare = (look: ReturnType<typeof lookOf>) => isBareInLane(look, cameras, axis, stretch);

describe('a stretch of the blank is bare', () => {
  test('where the finder sees blank, also with a guide and its thread on it, or the axis a little beside it', () => {
    expect(bare(lookOf(() => 'blank'))).toBe(true);
    const guide = lookOf((t) => (t > 215 && t < 225 ? 'thread' : t > 225 && t < 230 ? 'ring' : 'blank'));
    expect(bare(guide)).toBe(true);
    const beside = lookOf((t) => (t % 3 < 1.5 ? 'blank' : 'shadow'));
    expect(bare(beside)).toBe(true);
  });
  test('not where a grip begins, and not where it sees no blank at all', () => {
    expect(bare(lookOf((t) => (t > 205 ? 'grip' : 'blank')))).toBe(false);
    expect(bare(lookOf(() => 'shadow'))).toBe(false);
    expect(bare(lookOf(() => 'paper'))).toBe(false);
  });
  test('it is asked where the line of sight through the axis meets the paper', () => {
    // From 80 mm aside and 400 up the axis, 6 mm high, hides the paper 1.2 mm beyond it.
    const shown = (v: number) => v >= 0.5 && v <= 2.5;
    expect(bare(lookOf((_, v) => (shown(v) ? 'blank' : 'other')))).toBe(true);
    expect(bare(lookOf((_, v) => (shown(-v) ? 'blank' : 'other')))).toBe(false);
  });
  test('not where it sees nothing', () => {
    expect(bare(lookOf(() => 'blank', 0))).toBe(false);
    expect(
      isBareInLane(
        lookOf(() => 'blank'),
        cameras,
        axis,
        { from: 200, to: 204 },
      ),
    ).toBe(false);
  });
});

describe('a stretch of the blank is covered', () => {
  const covered = (look: ReturnType<typeof lookOf>) => isCoveredInLane(look, cameras, axis, stretch);
  test('where something else lies over it and bare blank follows', () => {
    expect(covered(lookOf((t) => (t > 195 && t < 260 ? 'other' : 'blank')))).toBe(true);
  });
  test('not where the blank is bare, a grip shows in it, or nothing bare follows', () => {
    expect(covered(lookOf(() => 'blank'))).toBe(false);
    expect(covered(lookOf((t) => (t > 195 && t < 225 ? 'other' : t < 260 && t > 195 ? 'grip' : 'blank')))).toBe(false);
    expect(covered(lookOf((t) => (t > 195 ? 'other' : 'blank')))).toBe(false);
    expect(covered(lookOf(() => 'other', 0))).toBe(false);
  });
});

test('a hand right beyond an end covers it; one farther off, or paper, does not', () => {
  const end = { t: 200, point: axisPoint(axis, 200), along: [1, 0, 0] as [number, number, number], radius: 2 };
  const at = (from: number) =>
    lookOf((t) => (t < end.point[0] - from ? 'other' : t < end.point[0] ? 'paper' : 'blank'));
  expect(isCoveredBeyond(at(8), cameras, end)).toBe(true);
  expect(isCoveredBeyond(at(22), cameras, end)).toBe(false);
  expect(isCoveredBeyond(at(200), cameras, end)).toBe(false);
});

test('bench right beyond the pages is no hand over an end that lies on them', () => {
  const end = { t: 200, point: axisPoint(axis, 200), along: [1, 0, 0] as [number, number, number], radius: 2 };
  const seen = lookOf((t) => (t < 188 ? 'other' : t < 200 ? 'paper' : 'blank'));
  expect(isCoveredBeyond(seen, cameras, end)).toBe(true);
  const pagesBegin = 181;
  const onPages = { ...seen, lane: { ...lane, from: pagesBegin - beyondPages } };
  expect(isCoveredBeyond(onPages, cameras, end)).toBe(false);
});
