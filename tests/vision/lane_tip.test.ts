import { expect, test } from 'vitest';
import { project } from '../../src/geometry/camera.ts';
import type { Vector3 } from '../../src/geometry/vector.ts';
import { type ClassGrid, type ClassName, classNames, type TipCandidate } from '../../src/vision/finder/sighting.ts';
import type { Lane } from '../../src/vision/lane.ts';
import type { LaneLook } from '../../src/vision/lane_look.ts';
import { endsInLane, laneTips, tipsBorneOut, tipsBySight } from '../../src/vision/lane_tip.ts';
import { blankOnPaper } from '../world/made_up_sightings.ts';
import { cameraLookingAt } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const lane: Lane = { origin: [0, 0], direction: [1, 0], from: -100, to: 600 };
const high = 20;
const end = { t: 40, point: [40, 3, high] as Vector3, along: [1, 0, 0] as Vector3, radius: 1 };
const eye: Vector3 = [140, -60, 500];
const camera = cameraLookingAt(eye, [140, 0, 0], 3000, 4032, 3024);

/** Where a place at the axis's height shows on the paper, from this camera. */
const onPaper = ([x, y]: readonly [number, number]) => {
  const k = eye[2] / (eye[2] - high);
  return { t: eye[0] + k * (x - eye[0]), v: eye[1] + k * (y - eye[1]) };
};
const look = (tips: readonly TipCandidate[]): LaneLook => ({
  lane,
  seen: [
    undefined,
    {
      view: 0,
      pixelsPerMm: 6,
      tips: [...tips],
      classes: blankOnPaper(straightAxis(300, 1, 3, high), { from: 0, to: 9 }),
    },
  ],
});
/** The same, with blank in the finder's cells behind the axis's line from this place on. */
const onBlank = (tips: readonly TipCandidate[], begins: number): LaneLook => {
  const [columns, rows] = [700, 67];
  const from = onPaper([begins, 3]);
  const cells = Array.from({ length: columns * rows }, (_, i): ClassName => {
    const [t, v] = [-100 + (i % columns), -33 + Math.floor(i / columns)];
    return t > from.t && Math.abs(v - from.v) < 2 ? 'blank' : 'paper';
  });
  const classes: ClassGrid = {
    from: -100,
    across: -33,
    step: 1,
    rows,
    columns,
    classes: Uint8Array.from(cells, (name) => classNames.indexOf(name)),
    certainty: new Uint8Array(columns * rows).fill(255),
  };
  return { lane, seen: [undefined, { ...look(tips).seen[1]!, classes }] };
};
const cameras = [undefined, camera];

test('the finder’s tip is taken to the axis’s height along the line of sight, and its doubt is millimetres', () => {
  const [tip, ...others] = laneTips(look([{ ...onPaper([43, 3]), score: 0.9 }]), cameras, end);
  expect(others).toEqual([]);
  expect(tip!.photo).toBe(1);
  // it sees the end a little inside
  expect(tip!.point.offset).toBeCloseTo(2.6, 6);
  const pixel = project(camera, [42.6, 3, high])!;
  expect(Math.hypot(tip!.point.pixel[0] - pixel[0], tip!.point.pixel[1] - pixel[1])).toBeLessThan(1e-6);
  // out of the blank: toward smaller x, which is the photo's left
  expect(tip!.point.normal[0]).toBeLessThan(-0.99);
  const perMm = pixel[0] - project(camera, [41.6, 3, high])![0];
  expect(tip!.point.sigma / perMm).toBeCloseTo(1.3, 1);
});

test('the surest near the end counts; one that is unsure, far along or beside the blank does not', () => {
  const near = { ...onPaper([44, 3]), score: 0.5 };
  const surer = { ...onPaper([38, 3]), score: 0.8 };
  expect(laneTips(look([near, surer]), cameras, end)[0]!.point.offset).toBeCloseTo(-2.4, 6);
  for (const candidate of [
    { ...onPaper([40, 3]), score: 0.2 },
    { ...onPaper([90, 3]), score: 0.9 },
    { ...onPaper([40, 15]), score: 0.9 },
    { ...onPaper([-40, 3]), score: 0.9 },
  ])
    expect(laneTips(look([candidate]), cameras, end)).toEqual([]);
  // the outlines of a pale blank may begin at its first tape
  expect(laneTips(look([{ ...onPaper([0, 3]), score: 0.9 }]), cameras, end)[0]!.point.offset).toBeCloseTo(-40.4, 6);
});

/** An end that an edge tells at this arc length from the station. */
const byEdge = (along: number) => {
  const pixel = project(camera, [40 + along, 3, high])!;
  return { photo: 1, point: { pixel, normal: [-1, 0] as const, offset: along, perMm: 5, sigma: 0.3 } };
};

test('an end told by an edge counts beside where the finder sees it; where it sees none, over paper', () => {
  const seen = laneTips(look([{ ...onPaper([43, 3]), score: 0.9 }]), cameras, end);
  const [near, far] = [byEdge(2.2), byEdge(-1.5)];
  expect(tipsBorneOut([near, far], seen, look([]), cameras, end)).toEqual([near]);
  expect(tipsBorneOut([near, far], [], look([]), cameras, end)).toEqual([near, far]);
  // where its own shadow goes on beyond it to there, the finder may have taken the shadow's end for the blank's
  const inside = byEdge(7);
  const shadow = inside.point.pixel[0] - project(camera, [42.6, 3, high])![0];
  const shadowed = { ...inside, point: { ...inside.point, shadow } };
  expect(tipsBorneOut([inside, shadowed], seen, look([]), cameras, end)).toEqual([shadowed]);
  // the outer page ends 30 mm after the lane begins
  const beyond = { ...look([]), lane: { ...lane, from: 20 } };
  expect(tipsBorneOut([near, far], [], beyond, cameras, end)).toEqual([]);
});

test('the finder’s own word is doubted more where the bench or a page’s edge lies behind the end', () => {
  const seen = laneTips(look([{ ...onPaper([43, 3]), score: 0.9 }]), cameras, end);
  expect(tipsBySight(seen, look([]), cameras, end)).toEqual(seen);
  // the outer page ends 30 mm after the lane begins: 3 mm before the end, and 27 mm beyond it
  for (const from of [6, 36]) {
    const [doubted] = tipsBySight(seen, { ...look([]), lane: { ...lane, from } }, cameras, end);
    expect(doubted!.point.offset).toBe(seen[0]!.point.offset);
    expect(doubted!.point.sigma).toBeGreaterThan(3 * seen[0]!.point.sigma);
  }
});

test('no edge is the end where the finder sees the rod go on beyond it', () => {
  const further = { ...end, t: 140, point: [140, 3, high] as Vector3 };
  const inside = { ...byEdge(100), point: { ...byEdge(100).point, offset: 0 } };
  expect(tipsBorneOut([inside], [], onBlank([], -50), cameras, further)).toEqual([]);
  expect(endsInLane([inside], onBlank([], -50), cameras, further)).toEqual([]);
  expect(tipsBorneOut([inside], [], onBlank([], 140), cameras, further)).toEqual([inside]);
});

test('an end far beyond where the outlines begin counts where the finder sees the rod go on to it', () => {
  const further = { ...end, t: 140, point: [140, 3, high] as Vector3 };
  const tip = { ...onPaper([40, 3]), score: 0.9 };
  expect(laneTips(onBlank([tip], 40), cameras, further)[0]!.point.offset).toBeCloseTo(-100.4, 6);
  expect(laneTips(onBlank([tip], 140), cameras, further)).toEqual([]);
});

test('no edge is the end where a hand lies right beyond it', () => {
  const edge = byEdge(0);
  const under = onBlank([], 40);
  const other = classNames.indexOf('other');
  const paper = classNames.indexOf('paper');
  const { classes } = under.seen[1]!;
  const handed = { ...classes, classes: classes.classes.map((cell) => (cell === paper ? other : cell)) };
  const inHand = { ...under, seen: [undefined, { ...under.seen[1]!, classes: handed }] };
  expect(tipsBorneOut([edge], [], under, cameras, end)).toEqual([edge]);
  expect(tipsBorneOut([edge], [], inHand, cameras, end)).toEqual([]);
  // over paper or not
  const overBench = { ...inHand, lane: { ...lane, from: 100 } };
  expect(endsInLane([edge], { ...under, lane: overBench.lane }, cameras, end)).toEqual([edge]);
  expect(endsInLane([edge], overBench, cameras, end)).toEqual([]);
});

test('an end is none where the rod goes on from it to where another is told', () => {
  const [inner, outer] = [byEdge(22), byEdge(0)];
  // of the 40 mm beyond it is less than half
  const look = onBlank([], 44);
  expect(endsInLane([inner], look, cameras, end)).toEqual([inner]);
  expect(endsInLane([inner, outer], look, cameras, end)).toEqual([outer]);
});
