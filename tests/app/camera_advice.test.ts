import { describe, expect, test } from 'vitest';
import { cameraAdvice } from '../../src/app/camera/camera_advice.ts';
import type { WantedStretch } from '../../src/app/coverage/next_photo.ts';
import type { PhotoView } from '../../src/app/coverage/photo_view.ts';
import type { FrameLook } from '../../src/app/workers/tag_tasks.ts';
import { photoWords } from '../../src/app/words/photo_words.ts';
import type { ReportNextPhoto } from '../../src/verdict/report.ts';
import type { SeenTag } from '../../src/photo/edge_blur.ts';
import type { QualityProblem } from '../../src/photo/quality.ts';

const say = photoWords.camera;
const mat = { paper: 'A4', lengths: 'mm' } as const;
const tag: SeenTag = {
  id: 3,
  corners: [
    [0, 0],
    [40, 0],
    [40, 40],
    [0, 40],
  ],
};
const frame = (problems: QualityProblem['kind'][] = [], tags = [tag], pixelsPerMm = 1.7): FrameLook => ({
  width: 1280,
  height: 720,
  tags,
  quality: {
    paper: 200,
    blownOut: 0,
    pixelsPerMm,
    problems: problems.map((kind) => ({ kind, message: kind, unusable: false })),
  },
});
const view = (from: number, to: number, tilt = 2): PhotoView => ({ columns: { from, to }, tilt, height: 600 });
const first: WantedStretch = { kind: 'stretch', columns: { from: 0, to: 9 }, seen: 0, toward: 'butt', tilted: false };

describe('what keeps a frame from being a photo comes first', () => {
  test.each([
    ['dark', frame(['dark'], []), {}, say.dark],
    ['no tags', frame([], []), {}, say.noTags],
    ['blurred', frame(['blurred']), view(0, 9), say.blurred],
    ['moved', frame(['moved']), view(0, 9), say.blurred],
    ['too close', frame([], [tag], 5), {}, say.tooClose],
    ['one row', frame([], [tag], 2), {}, say.oneRow],
    ['too far', frame([], [tag], 0.8), view(0, 24), say.tooFar],
    ['glare', frame(['glare']), view(0, 9), say.glare],
    ['slanted', frame(), view(0, 9, 60), say.slanted],
  ] as const)('%s', (_, seen, from, says) => {
    expect(cameraAdvice(seen, from, first, mat)).toEqual({ take: false, spoilt: true, says });
  });
});

describe('then where to go', () => {
  test('the wanted stretch in view is taken', () => {
    expect(cameraAdvice(frame(), view(0, 9), first, mat)).toEqual({ take: true, says: say.takeThis });
    expect(cameraAdvice(frame(), view(0, 6), first, mat).take).toBe(true);
  });
  test('another stretch names the tile to go to', () => {
    expect(cameraAdvice(frame(), view(10, 19), first, mat)).toEqual({ take: false, says: say.moveTo(1) });
    const later: WantedStretch = { ...first, columns: { from: 10, to: 19 } };
    expect(cameraAdvice(frame(), view(2, 12), later, mat)).toEqual({ take: false, says: say.moveTo(3) });
    // once the rod is known to lie there, its guides as well: those that are come to first
    const guides = ({ from }: { from: number }) => (from === 10 ? ['G4', 'G5', 'G6'] : []);
    const says = (next: WantedStretch) => cameraAdvice(frame(), view(2, 6), next, { ...mat, guides }).says;
    expect(says(later)).toBe('Move along to G4 and G5 (tile 3).');
    expect(says({ ...later, seen: 1, toward: 'tip' })).toBe('Move a little farther, toward G6 and G5 (tile 4).');
    expect(says({ ...later, columns: { from: 15, to: 19 } })).toBe('Move along to tile 4.');
    expect(cameraAdvice(frame(), view(2, 12), { ...later, seen: 1 }, mat)).toEqual({
      take: false,
      says: say.moveOn(3),
    });
  });
  test('on the way back the end that is come to first counts, and the tilt that is still missing', () => {
    const back: WantedStretch = { ...first, columns: { from: 10, to: 17 }, seen: 1, toward: 'tip', tilted: true };
    expect(cameraAdvice(frame(), view(4, 14, 18), back, mat)).toEqual({ take: false, says: say.moveTilted(4) });
    expect(cameraAdvice(frame(), view(10, 20), back, mat)).toEqual({ take: false, says: say.tiltHere });
    expect(cameraAdvice(frame(), view(10, 20, -18), back, mat)).toEqual({ take: true, says: say.takeThis });
    expect(cameraAdvice(frame(), view(12, 20), { ...back, tilted: false }, mat).take).toBe(true);
  });
  test('a tilted one must be tilted, to whichever side', () => {
    expect(cameraAdvice(frame(), view(0, 9, 5), { kind: 'tilt' }, mat).take).toBe(false);
    expect(cameraAdvice(frame(), view(0, 9, 20), { kind: 'tilt' }, mat).take).toBe(true);
    expect(cameraAdvice(frame(), view(0, 9, -20), { kind: 'tilt' }, mat).take).toBe(true);
  });
  describe('the photo that the last check asked for', () => {
    // Over the second column of tile 2, from 45 cm up: its middle lies 297 mm along, so the aim at 247.
    const asked: ReportNextPhoto = {
      over: { id: 'G3' },
      from: 'above',
      height: 450,
      aim: { tile: 1, u: -50 },
      stand: { along: 0, across: 0 },
      expects: [],
    };
    const at = (along: number, height = 450, tilt = 2): PhotoView => ({
      columns: { from: 3, to: 9 },
      along,
      height,
      tilt,
    });
    const advice = (view: PhotoView, photo: Partial<ReportNextPhoto> = {}) =>
      cameraAdvice(frame(), view, { kind: 'wanted', photo: { ...asked, ...photo } }, mat);

    test('is led to: along, then to its height, then straight', () => {
      expect(advice({ ...at(700), columns: { from: 10, to: 16 } }).says).toBe(say.moveTo(2));
      expect(advice(at(247, 700)).says).toBe(say.lower('450 mm'));
      expect(advice(at(247, 300)).says).toBe(say.higher('450 mm'));
      expect(advice(at(247, 450, 20)).says).toBe(say.straight);
      expect(advice(at(400)).says).toBe(say.straight);
      expect(advice(at(260))).toEqual({ take: true, says: say.takeThis });
    });
    test('or aslant from either side', () => {
      expect(advice(at(247), { from: 'side' }).says).toBe(say.slant);
      expect(advice(at(247, 450, -25), { from: 'side' }).take).toBe(true);
      expect(advice(at(247, 450, 25), { from: 'side' }).take).toBe(true);
    });
    test('or from farther along, looking back', () => {
      expect(advice(at(247), { from: 'butt', stand: { along: 225, across: 0 } }).says).toBe(say.lookBack(3, 2));
      expect(advice(at(460), { from: 'butt', stand: { along: 225, across: 0 } }).take).toBe(true);
    });
  });
});
