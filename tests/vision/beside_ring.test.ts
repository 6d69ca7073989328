import { describe, expect, test } from 'vitest';
import { besideBlank, blankInView, ownEdges } from '../../src/vision/blank_in_view.ts';
import { bandEvidence, lineEvidence } from '../../src/vision/line_evidence.ts';
import { paperColour, usualPaper } from '../../src/vision/paper.ts';
import { sampleRims } from '../../src/vision/rim_edges.ts';
import { placeRing, plannedRing } from '../../src/adjust/ring_state.ts';
import { buttEnd } from '../../src/vision/butt_end.ts';
import { findTubeEnd } from '../../src/vision/tube_end.ts';
import { edgesInLane } from '../../src/vision/lane_look.ts';
import { project } from '../../src/geometry/camera.ts';
import { emptyPhoto } from '../../src/photo/luma.ts';
import type { View } from '../../src/vision/strip.ts';
import { cameraLookingAt, type RingScene, takePhoto } from '../world/ring_scene.ts';
import { blankOnPaper } from '../world/made_up_sightings.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(120, 1.6, 2.4, 8);
const size = { width: 480, height: 200 };
const camera = cameraLookingAt([60, 15, 300], [60, 0, 8], 1200, size.width, size.height);
const scene: RingScene = { axis, rings: [], bands: [], paper: 215, blank: 50, ring: 70 };
const take = (change: Partial<RingScene> = {}, eye = camera): View => {
  const { photo } = takePhoto({ ...scene, ...change }, eye, size, 1.5, 3);
  return {
    photo: { ...photo, blueDifference: photo.blueDifference.fill(128), redDifference: photo.redDifference.fill(128) },
    camera: eye,
  };
};
const plain = take();

describe('the blank beside a place', () => {
  const blank = blankInView(plain, axis, 60)!;

  test('lies where its axis shows, as wide as its radius at its distance', () => {
    const foot = project(camera, [60, 0, 8])!;
    expect(Math.hypot(blank.foot[0] - foot[0], blank.foot[1] - foot[1])).toBeLessThan(1e-6);
    expect(Math.abs(blank.direction[0])).toBeGreaterThan(0.99);
    expect(blank.halfWidth).toBeCloseTo((2 * 1200) / Math.hypot(15, 292), 3);
  });

  test('tells how far off a place lies, to which side it looks, and the outline’s own edges', () => {
    const [dx, dy] = blank.direction;
    const off = (by: number) => [blank.foot[0] + by * dy, blank.foot[1] - by * dx] as const;
    const outward = [dy, -dx] as const;
    expect(besideBlank(blank, off(20), outward).distance).toBeCloseTo(20 - blank.halfWidth, 6);
    expect(besideBlank(blank, off(blank.halfWidth), outward)).toMatchObject({ onOutline: true, side: 2 });
    expect(besideBlank(blank, off(20), outward).onOutline).toBe(false);
    expect(besideBlank(blank, off(blank.halfWidth), [dx, dy])).toMatchObject({ onOutline: false, side: 0 });
    const sample = {
      pixel: off(blank.halfWidth + 1),
      outward,
      edges: [
        { offset: -1, slope: 9 },
        { offset: 4, slope: 9 },
      ],
    };
    expect(ownEdges(blank, sample as unknown as Parameters<typeof ownEdges>[1])).toEqual([{ offset: 4, slope: 9 }]);
  });
});

describe('what goes on past a supposed ring', () => {
  const guide = { ringOuter: 8, ringInner: 6, height: 9, lean: 0, foot: 'single' } as const;
  const ring = placeRing(axis, { ...plannedRing(guide).shape.mean, along: 60, right: 0, up: 11 }).ring;
  const seen = (view: View) => ({
    outline: sampleRims(view, ring, { reach: 6, spacing: 1.5, noise: 2 }).filter(({ rim }) => rim.part === 'outline'),
    blank: blankInView(view, axis, 60)!,
    density: 0.02,
    noise: 1.5,
  });

  test('on bare paper nothing does', () => {
    expect(lineEvidence(plain, seen(plain))).toBe(0);
    expect(bandEvidence(plain, axis, 60, seen(plain))).toBeLessThan(1);
  });

  test('a line across the paper at its sides does', () => {
    const outline = seen(plain).outline.map(({ pixel }) => pixel[0]);
    const sides = [Math.round(Math.min(...outline)), Math.round(Math.max(...outline))];
    const luma = plain.photo.luma.slice();
    for (let y = 0; y < size.height; y++) for (let x = sides[0]!; x < sides[1]!; x++) luma[y * size.width + x] = 120;
    const taped = { ...plain, photo: { ...plain.photo, luma } };
    expect(lineEvidence(taped, seen(taped))).toBeGreaterThan(3);
  });
});

describe('paper', () => {
  test('has the colour of the white lane beside the blank', () => {
    const [luma, blue, red] = paperColour(plain, axis, 60)!;
    expect(Math.abs(luma - 215)).toBeLessThan(2);
    expect([blue, red]).toEqual([128, 128]);
    expect(usualPaper[1]).toBe(128);
  });

  test('of a photo that shows none of it is not told', () => {
    expect(paperColour(plain, axis, 2000)).toBeUndefined();
  });
});

describe('ends along the blank', () => {
  test('the butt end is where it gives way to paper, within its doubt; where it goes on there is none', () => {
    const atButt = cameraLookingAt([110, 10, 300], [110, 0, 8], 1200, size.width, size.height);
    const views = [
      take({}, atButt),
      take({}, cameraLookingAt([100, -40, 290], [112, 0, 8], 1200, size.width, size.height)),
    ];
    const end = buttEnd(views, axis, 117, [0, 0])!;
    expect(Math.abs(end.along - 120)).toBeLessThan(3 * end.u + 0.3);
    expect(end.views).toEqual([0, 1]);
    expect(buttEnd([plain], axis, 60, [0])).toBeUndefined();
  });

  test('a tube’s end is where what stands out of the blank ends; a band of paint is none', () => {
    // a tube over the blank from its tip to 40 mm: half a millimetre thicker
    const thick = { ...axis, radii: axis.radii.map((r, i) => (i <= 4 ? r + 0.5 : r)) };
    const step = {
      ...thick,
      step: 0.5,
      points: Array.from({ length: 241 }, (_, i) => [i / 2, 0, 8] as const),
      radii: Array.from({ length: 241 }, (_, i) => 1.6 + (0.8 * i) / 240 + (i <= 80 ? 0.5 : 0)),
    };
    const view = take({ axis: step });
    const end = findTubeEnd(view, axis, { from: 30, to: 50 })!;
    expect(Math.abs(end.along - 40)).toBeLessThan(3 * end.sigma);
    expect(findTubeEnd(take({ bands: [{ from: 30, to: 40, grey: 20 }] }), axis, { from: 30, to: 50 })).toBeUndefined();
  });
});

describe('each photo’s edges across the lane', () => {
  const lane = { origin: [0, 0], direction: [1, 0], from: 20, to: 100 } as const;
  const cameras = [camera, undefined];

  test('hold the blank’s two, on the plane they are asked for; a photo without a camera has none', () => {
    const [edges, none] = edgesInLane(
      [plain.photo, emptyPhoto('b.jpg', 480, 200)],
      cameras,
      { lane, height: 8 },
      undefined,
    );
    expect(none).toBeUndefined();
    expect(edges!.height).toBe(8);
    expect([...edges!.stations].length).toBeGreaterThan(15);
    const middle = [...edges!.stations].find(({ t }) => t === 60)!;
    const steep = middle.edges.filter(({ slope }) => Math.abs(slope) > 15).map(({ v }) => v);
    expect(Math.min(...steep)).toBeCloseTo(-2, 0);
    expect(Math.max(...steep)).toBeCloseTo(2, 0);
    expect(middle.blank).toBeUndefined();
  });

  test('know what the finder saw there, where it looked', () => {
    const seen = { view: 0, pixelsPerMm: 4, tips: [], classes: blankOnPaper(axis, { from: 0, to: 120 }) };
    const [edges] = edgesInLane([plain.photo], cameras, { lane, height: 0 }, { lane, seen: [seen] });
    expect(Math.max(...[...edges!.stations].find(({ t }) => t === 60)!.blank!.share)).toBe(1);
  });
});
