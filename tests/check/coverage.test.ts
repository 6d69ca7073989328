import { expect, test } from 'vitest';
import { type LookedAt, type PlaceToLookAt, placesShown } from '../../src/check/coverage.ts';
import type { RingGuide } from '../../src/plan/plan.ts';
import type { View } from '../../src/vision/strip.ts';
import { seenBy } from '../world/made_up_sightings.ts';
import { cameraLookingAt } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(240, 1.5, 3.5, 8);
const guide: RingGuide = { ringOuter: 12, ringInner: 8.8, height: 16, lean: 6, foot: 'single' };
/** Frames of some 160 mm. */
const size = { width: 580, height: 500 };

/** A photo without content: what it shows is told by the class maps alone. */
const view = (file: string, at: number, focal = 1200): View => ({
  photo: {
    file,
    ...size,
    luma: new Uint8Array(0),
    blueDifference: new Uint8Array(0),
    redDifference: new Uint8Array(0),
  },
  camera: cameraLookingAt([at, 20, 330], [at, 0, 12], focal, size.width, size.height),
});

type Things = Parameters<typeof seenBy>[3];

/**
 * Three photos of the shoot, the second of which could not be placed: places in the list of photos and in that of views
 * differ from there on.
 */
function shown(
  places: readonly PlaceToLookAt[],
  things: Things = [],
  focal?: number,
  { sideSigma = 0.1, marks = [] }: { sideSigma?: number; marks?: readonly number[] } = {},
) {
  const first = view('first.jpg', 70, focal);
  const third = view('third.jpg', 170, focal);
  const unplaced = { ...view('second.jpg', 120), camera: undefined };
  const views = [first, third];
  const covers = [{ from: 0, to: 150 }, undefined, { from: 90, to: 240 }];
  return placesShown(places, {
    tagged: [first, unplaced, third].map(({ photo }) => ({ photo })) as unknown as LookedAt['tagged'],
    mat: { cameras: [first.camera, undefined, third.camera] } as unknown as LookedAt['mat'],
    blank: { axis, covers, axisSigma: { step: 240, side: [sideSigma], height: [0.1] } } as unknown as LookedAt['blank'],
    views: { list: views, photo: [0, 2] },
    seen: seenBy(views, axis, [], things),
    marks,
  });
}

test('bare blank is told by each photo that shows the place, and by no other', () => {
  expect(shown([{ id: 'A', at: 60, guide }]).A).toEqual({ photos: ['first.jpg'], bare: ['first.jpg'], covered: [] });
  expect(shown([{ id: 'B', at: 120, guide }]).B).toEqual({
    photos: ['first.jpg', 'third.jpg'],
    bare: ['first.jpg', 'third.jpg'],
    covered: [],
  });
  expect(shown([{ id: 'C', at: 200, guide }]).C).toEqual({ photos: ['third.jpg'], bare: ['third.jpg'], covered: [] });
  expect(shown([{ id: 'D', at: 260, guide }]).D).toEqual({ photos: [], bare: [], covered: [] });
});

test('where the blank is taken to end, by a grip say, the photo shows the place all the same', () => {
  expect(shown([{ id: 'E', at: 239, guide }]).E).toEqual({ photos: ['third.jpg'], bare: [], covered: [] });
});

test('a photo in which something lies there does not call it bare, though the other one does', () => {
  const thread: Things = [{ view: 1, name: 'thread', along: 120, across: 0, half: 8 }];
  expect(shown([{ id: 'B', at: 120, guide }], thread).B).toEqual({
    photos: ['first.jpg', 'third.jpg'],
    bare: ['first.jpg'],
    covered: [],
  });
});

test('a mark is missed by wax beside its place, a guide by it not', () => {
  const wax: Things = [{ name: 'wax', along: 60, across: 0, half: 1 }];
  const { mark, ring } = shown(
    [
      { id: 'mark', at: 60 },
      { id: 'ring', at: 60, guide },
    ],
    wax,
  );
  expect(mark).toEqual({ photos: ['first.jpg'], bare: [], covered: [] });
  expect(ring!.bare).toEqual(['first.jpg']);
});

test('where a guide would show too small for its absence to say something, nothing is called bare', () => {
  const small: RingGuide = { ...guide, ringOuter: 4, ringInner: 2.6, height: 5 };
  const far = shown([{ id: 'S', at: 60, guide: small }], [], 600);
  expect(far.S!.photos).toContain('first.jpg');
  expect(far.S!.bare).toEqual([]);
  const near = shown([{ id: 'S', at: 60, guide: small }], [], 1600);
  expect(near.S!.bare).toEqual(['first.jpg']);
});

test('what lies over a place in a photo is told, and what lies beside it is not', () => {
  const hand: Things = [{ view: 1, name: 'other', along: 120, across: 0, half: 9 }];
  expect(shown([{ id: 'B', at: 120, guide }], hand).B).toEqual({
    photos: ['first.jpg', 'third.jpg'],
    bare: ['first.jpg'],
    covered: ['third.jpg'],
  });
  const beside: Things = [{ view: 1, name: 'other', along: 136, across: 0, half: 9 }];
  expect(shown([{ id: 'B', at: 120, guide }], beside).B!.covered).toEqual([]);
});

test('a place is not bare of a mark where the blank may lie beside it', () => {
  const mark = [{ id: 'mark', at: 120 }];
  expect(shown(mark).mark!.bare).toHaveLength(2);
  expect(shown(mark, [], undefined, { sideSigma: 1.9 }).mark).toEqual({
    photos: ['first.jpg', 'third.jpg'],
    bare: [],
    covered: [],
  });
});

test('no place is called bare of a mark where marks that were found look bare too; of a guide it is', () => {
  const places = [
    { id: 'mark', at: 120 },
    { id: 'ring', at: 120, guide },
  ];
  const wax: Things = [30, 90].map((along) => ({ name: 'wax', along, across: 0, half: 1 }));
  const bareWith = (marks: readonly number[], things?: Things) => {
    const { mark, ring } = shown(places, things, undefined, { marks });
    return [mark!.bare.length, ring!.bare.length];
  };
  expect(bareWith([30, 90], wax)).toEqual([2, 2]);
  expect(bareWith([30, 90])).toEqual([0, 2]);
});
