import fc from 'fast-check';
import { expect, test } from 'vitest';
import { isApart } from '../../src/app/camera/taking_by_itself.ts';
import { nextPhoto } from '../../src/app/coverage/next_photo.ts';
import { photoView } from '../../src/app/coverage/photo_view.ts';
import { times } from '../../src/app/photos/look_through_videos.ts';
import { chooseFrames, frameName, frameNear, frameTime, type VideoFrame } from '../../src/app/photos/video_choice.ts';
import { frameFrom, type Stand } from './drawn_frames.ts';

const mat = { tiles: 5, paper: 'A4' } as const;
const frame = (at: number, stand: Stand, blur = 0.8): VideoFrame => ({
  video: 0,
  at,
  blur,
  view: photoView(frameFrom(stand), mat.paper),
});

/** A video of a walk there straight above and back aslant, four frames a second, its blur from a list. */
const walk = (blurs: readonly number[], seconds = 20): VideoFrame[] =>
  Array.from({ length: 4 * seconds }, (_, i) => {
    const share = i / (2 * seconds);
    const there = share < 1;
    const along = -80 + 1380 * (there ? share : 2 - share);
    return frame(i / 4, { along, across: there ? 0 : 220, height: 600 }, blurs[i % blurs.length]);
  });
const viewsOf = (frames: readonly VideoFrame[], chosen: readonly number[]) => chosen.map((i) => frames[i]!.view);

test('the frames of a walk there and back cover the mat, each from a place of its own, with no more than it takes', () => {
  fc.assert(
    fc.property(fc.array(fc.double({ min: 0.4, max: 1.4, noNaN: true }), { minLength: 3, maxLength: 9 }), (blurs) => {
      const frames = walk(blurs);
      const chosen = chooseFrames(frames, { views: [], ...mat });
      const views = viewsOf(frames, chosen);
      expect(nextPhoto(views, mat.tiles).kind).toBe('enough');
      expect(chosen.length).toBeLessThanOrEqual(10);
      expect(chosen).toEqual(chosen.toSorted((a, b) => a - b));
      for (const [i, view] of views.entries()) expect(isApart(view, views.slice(0, i))).toBe(true);
    }),
    { numRuns: 8 },
  );
});

test('of frames that show the same, the sharp ones are taken', () => {
  // every other frame is soft: a hand that stops and goes
  const chosen = chooseFrames(walk([0.6, 1.4]), { views: [], ...mat });
  expect(chosen.filter((i) => i % 2 === 1)).toEqual([]);
});

test('what the photos show already is not asked of the video again', () => {
  const frames = walk([0.8]);
  const all = viewsOf(frames, chooseFrames(frames, { views: [], ...mat }));
  expect(chooseFrames(frames, { views: all, ...mat })).toEqual([]);
  const half = all.filter(({ columns }) => columns!.to < 15);
  const rest = chooseFrames(frames, { views: half, ...mat });
  expect(rest.length).toBeLessThan(all.length);
  expect(nextPhoto([...half, ...viewsOf(frames, rest)], mat.tiles).kind).toBe('enough');
});

test('the frame that the last check asked for is among them', () => {
  const frames = walk([0.8]);
  const views = viewsOf(frames, chooseFrames(frames, { views: [], ...mat }));
  const wanted = {
    over: { id: 'G3' },
    from: 'above',
    height: 600,
    aim: { tile: 1, u: 0 },
    stand: { along: 0, across: 0 },
    expects: [],
  } as const;
  const [asked, ...more] = chooseFrames(frames, {
    views: views.filter(({ along }) => Math.abs(along! - 297) > 130),
    ...mat,
    wanted: { ...wanted, expects: [] },
  });
  expect(asked).toBeDefined();
  expect([asked!, ...more].some((i) => Math.abs(frames[i]!.view.along! - 297) < 125)).toBe(true);
});

test('a video of one place gives no walk', () => {
  const still = Array.from({ length: 20 }, (_, i) => frame(i / 4, { along: 100, across: 0, height: 600 }));
  expect(chooseFrames(still, { views: [], ...mat })).toHaveLength(1);
  expect(chooseFrames([], { views: [], ...mat })).toEqual([]);
});

test('the frame near another one is of the same video and not chosen yet', () => {
  const frames = [0, 0, 0, 1, 1].map((video, i) => ({ video, at: i, view: {} }));
  expect(frameNear(frames, 0, 'later', new Set([0]))).toBe(1);
  expect(frameNear(frames, 0, 'later', new Set([0, 1]))).toBe(2);
  expect(frameNear(frames, 0, 'earlier', new Set([0]))).toBeUndefined();
  expect(frameNear(frames, 2, 'later', new Set([2]))).toBeUndefined();
  expect(frameNear(frames, 3, 'earlier', new Set([3]))).toBeUndefined();
});

test('photos are named by video and time', () => {
  expect(frameName('walk.mp4', 4.24)).toBe('walk-0m04.2s.jpg');
  expect(frameName('rod.2.mov', 59.96)).toBe('rod.2-1m00.0s.jpg');
  expect(frameTime(4.24)).toBe('0:04.2');
  expect(frameTime(64)).toBe('1:04.0');
});

test('a short video is looked at four times a second, a long one at most 120 times', () => {
  expect(times(2)).toEqual([0.125, 0.375, 0.625, 0.875, 1.125, 1.375, 1.625, 1.875]);
  expect(times(0.1)).toEqual([0.05]);
  expect(times(600)).toHaveLength(120);
});
