import { expect, test } from 'vitest';
import { drawCloseUps, markEdges } from '../../src/check/close_ups.ts';
import { drawEvidence } from '../../src/check/evidence.ts';
import type { FittedMark } from '../../src/adjust/mark_fit.ts';
import type { BlankSolution } from '../../src/adjust/blank_adjustment.ts';
import type { MatSolution } from '../../src/adjust/mat_summary.ts';
import { placeRing, plannedRing } from '../../src/adjust/ring_state.ts';
import type { FittedRing } from '../../src/adjust/fitted_ring.ts';
import { project } from '../../src/geometry/camera.ts';
import { emptyPhoto } from '../../src/photo/luma.ts';
import type { Plan, RingGuide } from '../../src/plan/plan.ts';
import type { Report } from '../../src/verdict/report.ts';
import { cameraLookingAt } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(160, 1.5, 3, 8);
const guide: RingGuide = { ringOuter: 7, ringInner: 5, height: 8, lean: 0, foot: 'single' };
const [width, height] = [600, 240];
const cameras = (
  [
    [60, 20, 290],
    [100, -60, 280],
  ] as const
).map((eye) => cameraLookingAt(eye, [80, 0, 10], 1000, width, height));
const photos = cameras.map((_, i) => {
  const photo = emptyPhoto(`${i + 1}.jpg`, width, height);
  photo.luma.fill(200);
  photo.blueDifference.fill(128);
  photo.redDifference.fill(128);
  return photo;
});
const views = { list: photos.map((photo, i) => ({ photo, camera: cameras[i]! })), photo: [0, 1] };
const blank = {
  axis,
  covers: [
    { from: 0, to: 150 },
    { from: 20, to: 160 },
  ],
} as unknown as BlankSolution;
const ring = (along: number): FittedRing => {
  const own = placeRing(axis, { ...plannedRing(guide).shape.mean, along, right: 0, up: 10 }).ring;
  return {
    along,
    centre: own.centre,
    right: 0,
    up: 10,
    roll: 0,
    ringOuter: 7,
    views: [0, 1],
    rims: [{ view: 0, polylines: [[project(cameras[0]!, own.centre)!]] }],
  } as unknown as FittedRing;
};
const mark = {
  along: { value: 50, u: 0.1 },
  tipEdge: { value: 49.3, u: 0.1 },
  buttEdge: { value: 50.7, u: 0.1 },
  views: [0],
} as FittedMark;
const report = (stage: Report['stage'], items: object[]) => ({ stage, items }) as unknown as Report;
const found = { id: 'A', found: true, planned: 61, along: { value: 60, expanded: 0.3 } };
const lost = { id: 'B', found: false, planned: 110, bareIn: ['2.jpg'] };
const checked = (stage: Report['stage']) => ({
  plan: { blank: { length: 160 } } as Plan,
  report: report(stage, [found, lost]),
  tagged: photos.map((photo) => ({ photo, reading: { tags: [], twice: [], foreign: [] }, faults: [] })),
  mat: { cameras } as unknown as MatSolution,
  blank,
  views,
  start: 0,
  rings: [ring(60), ring(90)],
  marks: [mark],
  byHand: [],
});

test('a close-up of what was found is cut round it from the photos that show it largest, its rims in its own pixels', () => {
  const all = drawCloseUps({ ...checked('wrapped'), start: 0 }, (along) => `at ${along}`);
  const [first] = all;
  expect(first).toMatchObject({ id: 'at 60' });
  const at = project(cameras[photos.findIndex(({ file }) => file === first!.file)]!, ring(60).centre)!;
  const own = all.find(({ rims }) => rims.length > 0)!;
  const x = own.rims[0]![0]![0];
  expect(x).toBeGreaterThanOrEqual(0);
  expect(x).toBeLessThanOrEqual(own.picture.width);
  expect(first!.picture.width).toBeLessThan(480);
  expect(at[0]).toBeGreaterThan(0);
});

test('where nothing was found the stretch that was looked at is framed, in the photos that show it bare', () => {
  const sought = drawCloseUps(checked('wrapped'), (along) => `at ${along}`).filter((one) => one.sought);
  expect(sought.map(({ id, file }) => [id, file])).toEqual([['B', '2.jpg']]);
  const frame = sought[0]!.rims[0]!;
  expect(frame[0]).toEqual(frame.at(-1));
});

test('marks have close-ups before the wraps go on, not after', () => {
  const ids = (stage: Report['stage']) => drawCloseUps(checked(stage), (along) => `at ${along}`).map(({ id }) => id);
  expect(ids('marks')).toContain('at 50');
  expect(ids('wrapped')).not.toContain('at 50');
});

test('a mark’s two edges are drawn round the side that faces the camera', () => {
  const [tip, butt] = markEdges(cameras[0]!, blank, mark);
  expect(tip!.length).toBe(17);
  const mean = (line: typeof tip) => line!.reduce((sum, [x]) => sum + x, 0) / line!.length;
  expect(mean(butt) - mean(tip)).toBeCloseTo((1.4 * 1000) / 283, 0);
});

test('overlays name what was found after the report’s items, and what belongs to none after its place', () => {
  const { photos: drawn, rings, ribbon, closeUps } = drawEvidence(checked('wrapped'));
  expect(rings.map(({ id }) => id)).toEqual(['A', 'extra at 90']);
  expect(drawn.map(({ rings: own }) => own.map(({ id }) => id))).toEqual([['A', 'extra at 90'], []]);
  expect(drawn[0]!.axis.length).toBeGreaterThan(15);
  expect(drawn[1]!.covers).toEqual({ from: 20, to: 160 });
  const [x, y] = drawn[0]!.axis[4]!;
  const at = project(cameras[0]!, [20, 0, 8])!;
  expect(Math.hypot(x - at[0], y - at[1])).toBeLessThan(0.5);
  expect(ribbon!.from).toBe(-12);
  expect(closeUps.length).toBeGreaterThan(2);
});

test('a photo that was not placed shows its squares alone', () => {
  const { photos: drawn } = drawEvidence({
    ...checked('wrapped'),
    mat: { cameras: [cameras[0], undefined] } as unknown as MatSolution,
  });
  expect(drawn[1]).toMatchObject({ axis: [], outlines: [], rings: [], marks: [] });
});
