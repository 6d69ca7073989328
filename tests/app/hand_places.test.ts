import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { handPoints, withHandPoints, withoutLostPlaces } from '../../src/app/edits/hand_places.ts';
import { handPhotos } from '../../src/app/by_hand/hand_start.ts';
import {
  loupePlace,
  loupeSize,
  pannedBy,
  toPhoto,
  toWindow,
  wholePhoto,
  zoomedAt,
} from '../../src/app/by_hand/hand_view.ts';
import type { Pixel } from '../../src/geometry/vector.ts';
import { plannedByHand } from '../../src/plan/planned_by_hand.ts';
import type { BuildDocument, KeptCheck, PhotoEntry } from '../../src/store/build.ts';
import type { ReportItem } from '../../src/verdict/report.ts';

const entry = (name: string): PhotoEntry => ({ id: `id of ${name}`, name, bytes: 1, addedAt: '' });
const document: BuildDocument = {
  plan: {
    title: '',
    unit: 'mm',
    blank: { length: 1000, tipDiameter: 2, buttDiameter: 10, finish: 'dark' },
    positions: [
      { id: 'T', kind: 'tip-wrap', at: 9 },
      {
        id: 'G1',
        kind: 'guide',
        at: 300,
        guide: { ringOuter: 8, ringInner: 6, height: 9, lean: 0, foot: 'single' },
      },
    ],
    tolerance: { along: 1.5, roll: 2 },
  },
  thread: '#a3342b',
  lengths: 'mm',
  shoot: {
    id: 'round',
    stage: 'rings',
    mat: {},
    rest: { kind: 'flat' },
    rollReference: 'seat-card',
    photos: [entry('a.jpg'), entry('b.jpg')],
  },
};
const pointed = withHandPoints(document, 'G1', {
  'a.jpg': [
    [1, 2],
    [3, 4],
  ],
  'b.jpg': [],
});

describe('places set by hand', () => {
  test('are kept for their item and photo, and taken back without a trace', () => {
    expect(pointed.shoot.byHand).toEqual([
      {
        id: 'G1',
        photo: 'a.jpg',
        points: [
          [1, 2],
          [3, 4],
        ],
      },
    ]);
    expect(handPoints(pointed.shoot, 'G1')['a.jpg']).toHaveLength(2);
    expect(handPoints(pointed.shoot, 'T')).toEqual({});
    expect(withHandPoints(pointed, 'G1', {})).toEqual(document);
  });

  test('go when their photo goes, another round begins or marks become rings; and stay for all else', () => {
    const { shoot } = pointed;
    const after = (change: Partial<typeof shoot>) =>
      withoutLostPlaces(pointed, { ...pointed, shoot: { ...shoot, ...change } }).shoot.byHand;
    expect(after({ photos: [entry('b.jpg')] })).toBeUndefined();
    expect(after({ id: 'next round', photos: [] })).toBeUndefined();
    expect(after({ stage: 'marks' })).toBeUndefined();
    expect(after({ photos: [entry('a.jpg')] })).toEqual(shoot.byHand);
    expect(after({ mat: { barAlong: 100.1 } })).toEqual(shoot.byHand);
  });

  test('reach the check only for items the plan has, and rings only for guides', () => {
    const both = withHandPoints(pointed, 'T', { 'a.jpg': [[5, 6]] });
    expect(plannedByHand(both.plan, both.shoot).byHand?.map(({ id }) => id)).toEqual(['G1']);
    expect(plannedByHand(both.plan, { ...both.shoot, stage: 'marks' as const }).byHand).toHaveLength(2);
    const renamed = { ...both.plan, positions: [] };
    expect('byHand' in plannedByHand(renamed, both.shoot)).toBe(false);
  });
});

describe('the first look in a photo', () => {
  // the axis runs straight to the right at 4 pixels a mm, tip at x = 100
  const axis = (from: number, to: number): Pixel[] =>
    Array.from({ length: (to - from) / 5 + 1 }, (_, i) => [100 + 4 * (from + 5 * i), 700]);
  const photo = (file: string, from: number, to: number, rings: KeptCheck['evidence']['photos'][0]['rings'] = []) => ({
    file,
    width: 2000,
    height: 1500,
    tags: [],
    outlines: [],
    marks: [],
    axis: axis(from, to),
    // the line ends with its last whole step
    covers: { from, to: to + 3 },
    rings,
  });
  const check = (photos: ReturnType<typeof photo>[]) =>
    ({
      plan: document.plan,
      photoIds: Object.fromEntries(photos.map(({ file }) => [file, `id of ${file}`])),
      evidence: { photos, rings: [], closeUps: [] },
    }) as unknown as KeptCheck;
  const missing: ReportItem = { id: 'G1', kind: 'guide', planned: 300, found: false, alongVerdict: 'missing' };

  test('goes where the plan has a missing item, in the photo that has it nearest its middle', () => {
    const photos = handPhotos(missing, check([photo('b.jpg', 290, 460), photo('a.jpg', 0, 460)]), [
      entry('a.jpg'),
      entry('b.jpg'),
      entry('new.jpg'),
    ]);
    expect(photos.map((one) => one.entry.name)).toEqual(['a.jpg', 'b.jpg', 'new.jpg']);
    expect(photos[0]!.start!.place).toEqual([1300, 700]);
    expect(photos[2]!.start).toBeUndefined();
  });

  test('goes to the ring itself where one was found, and nowhere in a photo of another stretch', () => {
    const rims: Pixel[][] = [
      [
        [1290, 640],
        [1350, 660],
      ],
    ];
    const found: ReportItem = { ...missing, found: true, along: { value: 303, expanded: 0.3 }, alongVerdict: 'off' };
    const photos = handPhotos(
      found,
      check([photo('a.jpg', 0, 460, [{ id: 'G1', rims }]), photo('b.jpg', 400, 460)]),
      document.shoot.photos,
    );
    expect(photos[0]).toMatchObject({ entry: { name: 'a.jpg' }, start: { place: [1320, 650] } });
    expect(photos[1]).toMatchObject({ entry: { name: 'b.jpg' }, size: { width: 2000, height: 1500 } });
    expect(photos[1]!.start).toBeUndefined();
  });
});

describe('a photo in its window', () => {
  const window = { width: 390, height: 520 };
  const photo = { width: 4032, height: 3024 };
  const inWindow = fc.tuple(fc.double({ min: 0, max: 390, noNaN: true }), fc.double({ min: 0, max: 520, noNaN: true }));

  test('what stands under the fingers stays there while they zoom', () => {
    fc.assert(
      fc.property(inWindow, fc.double({ min: 0.3, max: 8, noNaN: true }), (at, factor) => {
        const before = { centre: [2000, 1500] as Pixel, scale: 1 };
        const held = toPhoto(before, window, at);
        const after = zoomedAt(before, factor, at, window, photo);
        const [x, y] = toWindow(after, window, held);
        expect(Math.hypot(x - at[0], y - at[1])).toBeLessThan(1e-6);
      }),
    );
  });

  test('zooming out ends at the whole photo, panning ends at its edge', () => {
    const whole = wholePhoto(window, photo);
    const out = zoomedAt({ centre: [100, 100], scale: 2 }, 1e-4, [10, 10], window, photo);
    expect(out.scale).toBe(whole.scale);
    expect(whole.scale * photo.width).toBeCloseTo(window.width, 9);
    const far = pannedBy({ centre: [2000, 1500], scale: 1 }, [1e6, -1e6], window, photo);
    expect(far.centre).toEqual([-0.5, 3023.5]);
  });

  test('the loupe stands inside the window and never under the finger', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 300, max: 1400 }),
        fc.integer({ min: 300, max: 1000 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (width, height, across, down) => {
          const finger: Pixel = [across * width, down * height];
          const [x, y] = loupePlace(finger, { width, height });
          const half = loupeSize / 2;
          expect(x).toBeGreaterThanOrEqual(half);
          expect(x).toBeLessThanOrEqual(width - half);
          expect(y).toBeGreaterThanOrEqual(half);
          expect(y).toBeLessThanOrEqual(height - half);
          expect(Math.hypot(x - finger[0], y - finger[1])).toBeGreaterThan(half + 30);
        },
      ),
    );
  });
});
