import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { cameraAdvice } from '../../src/app/camera/camera_advice.ts';
import {
  adds,
  columnsAdded,
  type Hold,
  held,
  isTaken,
  parallax,
  speedBetween,
  takingByItself,
} from '../../src/app/camera/taking_by_itself.ts';
import { nextPhoto } from '../../src/app/coverage/next_photo.ts';
import { type PhotoView, photoView } from '../../src/app/coverage/photo_view.ts';
import { frameFrom, type Stand } from './drawn_frames.ts';

const [tiles, paper] = [5, 'A4'] as const;
const mat = { paper, lengths: 'mm' } as const;

/** What the app makes of one drawn frame. */
function seen(stand: Stand, views: readonly PhotoView[] = []) {
  const frame = frameFrom(stand);
  const view = photoView(frame, paper);
  const next = nextPhoto(views, tiles);
  const advice = cameraAdvice(frame, view, next, mat);
  return { frame, view, adding: adds(view, advice, { views, tiles, next }) };
}

test('drawn frames are seen from where they are drawn', () => {
  const { view } = seen({ along: 300, across: 200, height: 600 });
  expect(view.along).toBeCloseTo(300, 0);
  expect(view.height).toBeCloseTo(600, 0);
  expect(view.tilt).toBeCloseTo((Math.atan2(200, 600) * 180) / Math.PI, 1);
});

describe('still', () => {
  test.each([4, 12, 24])('a hand that drifts by %d mm a second is still enough', (speed) => {
    let hold: Hold | undefined;
    for (let i = 0; i < 8; i++) {
      const { frame, adding } = seen({ along: 100 + (speed * i) / 8, across: 0, height: 600 });
      hold = held(hold, frame, i / 8, adding);
    }
    expect(isTaken(hold!)).toBe(true);
  });

  test.each([40, 150, 600])('a hand that goes on by %d mm a second is not', (speed) => {
    let hold: Hold | undefined;
    for (let i = 0; i < 12; i++) {
      const { frame, adding } = seen({ along: 100 + (speed * i) / 8, across: 0, height: 600 });
      hold = held(hold, frame, i / 8, adding);
      expect(isTaken(hold)).toBe(false);
    }
  });

  test('the speed over the paper is that of the hand', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 80, noNaN: true }),
        fc.double({ min: 400, max: 900, noNaN: true }),
        (mm, height) => {
          const [a, b] = [0, mm].map((shift) => frameFrom({ along: 300 + shift, across: 0, height }));
          const speed = speedBetween(a!, b!, 0.25)!;
          expect(speed / (mm / 0.25)).toBeGreaterThan(0.95);
          expect(speed / (mm / 0.25)).toBeLessThan(1.05);
        },
      ),
    );
  });

  test('it begins anew after a jerk, a gap, and a frame that adds nothing', () => {
    const { frame } = seen({ along: 100, across: 0, height: 600 });
    const jerked = frameFrom({ along: 130, across: 0, height: 600 });
    const after = (...frames: [typeof frame, number, boolean][]) =>
      frames.reduce<Hold | undefined>((hold, [own, at, added]) => held(hold, own, at, added), undefined)!;
    expect(isTaken(after([frame, 0, true], [frame, 0.25, true], [frame, 0.5, true]))).toBe(true);
    expect(isTaken(after([frame, 0, true], [frame, 0.25, true]))).toBe(false);
    expect(isTaken(after([frame, 0, true], [jerked, 0.25, true], [jerked, 0.5, true]))).toBe(false);
    expect(isTaken(after([frame, 0, true], [frame, 0.25, false], [frame, 0.5, true]))).toBe(false);
    const gap = takingByItself.longestGap + 0.1;
    expect(isTaken(after([frame, 0, true], [frame, 0.25, true], [frame, 0.25 + gap, true]))).toBe(false);
  });
});

describe('new', () => {
  const first = seen({ along: 60, across: 0, height: 600 }).view;

  test('what was asked for adds, from a place of its own', () => {
    expect(seen({ along: 60, across: 0, height: 600 }).adding).toBe(true);
    expect(seen({ along: 75, across: 0, height: 600 }, [first]).adding).toBe(false);
    expect(seen({ along: 640, across: 0, height: 600 }, [first]).adding).toBe(true);
  });

  test('half a picture farther along adds on the way, a little farther does not', () => {
    expect(seen({ along: 300, across: 0, height: 600 }, [first]).adding).toBe(true);
    expect(seen({ along: 160, across: 0, height: 600 }, [first]).adding).toBe(false);
    expect(columnsAdded(first, [first, first], tiles)).toBe(0);
  });

  test('a frame that is spoilt adds nothing', () => {
    const { view } = seen({ along: 60, across: 0, height: 600 });
    const next = nextPhoto([], tiles);
    expect(adds(view, { take: false, spoilt: true, says: '' }, { views: [], tiles, next })).toBe(false);
  });

  test('how far apart two places are is told over the mat, in heights', () => {
    const view = (along: number, tilt: number, height: number): PhotoView => ({ along, tilt, height });
    expect(parallax(view(0, 0, 600), view(300, 0, 600))).toBeCloseTo(0.5);
    expect(parallax(view(0, 0, 600), view(0, 45, 600))).toBeCloseTo(1);
    expect(parallax(view(0, 0, 600), view(0, 0, 300))).toBe(0);
    expect(parallax({}, view(0, 0, 600))).toBe(Number.POSITIVE_INFINITY);
  });
});

/** Walks as a hand does: goes on by `step`, stops, and now and then comes to one side; until nothing is asked for. */
function walk(step: number, height: number, aside: number): PhotoView[] {
  const views: PhotoView[] = [];
  const stops = Array.from({ length: Math.ceil(1500 / step) }, (_, i) => -60 + i * step);
  for (const [round, along] of [
    ...stops.map((stop) => [0, stop] as const),
    ...stops.toReversed().map((stop) => [aside, stop] as const),
  ]) {
    const now = seen({ along, across: round, height }, views);
    if (now.adding) views.push(now.view);
  }
  return views;
}

test('a walk there and back aslant takes all that is needed and stops', () => {
  fc.assert(
    fc.property(fc.integer({ min: 60, max: 250 }), fc.integer({ min: 480, max: 700 }), (step, height) => {
      const views = walk(step, height, 0.33 * height);
      expect(nextPhoto(views, tiles).kind).toBe('enough');
      expect(views.length).toBeLessThanOrEqual(12);
      for (const [i, view] of views.entries())
        for (const other of views.slice(0, i))
          expect(parallax(view, other)).toBeGreaterThanOrEqual(takingByItself.apart);
    }),
    { numRuns: 40 },
  );
});

test('a walk that never tilts is not complete', () => {
  expect(nextPhoto(walk(120, 600, 0), tiles).kind).not.toBe('enough');
});
