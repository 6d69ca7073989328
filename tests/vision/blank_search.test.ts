import { describe, expect, test } from 'vitest';
import { type Camera, makeCamera, project } from '../../src/geometry/camera.ts';
import { type Expected, searchBlank } from '../../src/vision/blank_search.ts';
import { type Lane, lanePoint } from '../../src/vision/lane.ts';
import type { LaneEdge, LaneEdges } from '../../src/vision/lane_edges.ts';
import type { Colour } from '../../src/vision/strip_relief.ts';

const lane: Lane = { origin: [0, 0], direction: [1, 0], from: -100, to: 800 };
const paper: Colour = [230, 128, 128];

/** A camera 500 mm over the lane that looks straight down at (x, y). */
const above = (x: number, y: number): Camera =>
  makeCamera(
    { focal: 3000, centre: [2000, 1500], distortion: [0, 0, 0, 0, 0] },
    { rotation: [Math.PI, 0, 0], translation: [-x, y, 500] },
  );

/** Something along the lane with two edges: its middle across the lane at height z, its width, and its luma. */
interface Stripe {
  side: (t: number) => number;
  width: (t: number) => number;
  z: number;
  luma: number;
  from: number;
}

/**
 * What a camera would note of stripes when it walks the lane on the plane z = `height`; the first stripe hides the
 * others.
 */
function walk(camera: Camera, height: number, stripes: readonly Stripe[]): LaneEdges {
  const eye = camera.pose.translation;
  const own = { y: eye[1], z: 500 };
  const stations = [];
  for (let t = lane.from; t <= lane.to; t += 4) {
    const middle = project(camera, lanePoint(lane, t, 0, height))!;
    if (middle[0] < 0 || middle[0] > 4000) continue;
    const edges: LaneEdge[] = [];
    for (const { side, width, z, luma, from } of stripes) {
      if (t < from) continue;
      const on = (v: number) => own.y + ((v - own.y) * (own.z - height)) / (own.z - z);
      const inside: Colour = [luma, 128, 128];
      const slope = (paper[0] - luma) / 3;
      const [low, high] = [on(side(t) - width(t) / 2), on(side(t) + width(t) / 2)];
      edges.push({ v: low, d: low * 6, slope: -slope, below: paper, above: inside });
      edges.push({ v: high, d: high * 6, slope, below: inside, above: paper });
    }
    const chroma = { first: -300, blue: new Float32Array(600), red: new Float32Array(600) };
    edges.sort((a, b) => a.v - b.v);
    stations.push({ t, middle, across: [0, -1] as const, pixelsPerMm: 6, chroma, paper, mostColour: 0, edges });
  }
  return { height, stations };
}

const taper = (t: number) => 2 + (8 * Math.max(t, 0)) / 800;

describe('ways along the lane that may be the blank', () => {
  const expected: Expected = {
    width: taper,
    latitude: { share: 0.15, extra: 0.4 },
    height: () => 60,
    finish: 'dark',
  };
  const bow = (t: number) => 3 + 6 * Math.sin(t / 500);
  const blank: Stripe = { side: bow, width: taper, z: 60, luma: 40, from: 0 };
  const shadow: Stripe = { side: (t) => bow(t) + 25, width: taper, z: 0, luma: 70, from: -15 };
  const cameras = [above(150, 40), above(350, -40), above(550, 10)];

  test('on blocks the blank is told from its shadow on the paper: it lies at one place in all photos', () => {
    const edges = cameras.map((camera) => walk(camera, 60, [blank, shadow]));
    const [best] = searchBlank(edges, cameras, lane, expected);
    for (let t = 20; t < 680; t += 40) expect(Math.abs(best!.side(t) - bow(t)), `at ${t}`).toBeLessThan(1);
    expect(best!.crossings[0]![0]!.t).toBeGreaterThanOrEqual(0);
    expect(best!.crossings[0]![0]!.t).toBeLessThan(12);
  });

  test('a light blank is not taken for its darker shadow beside it', () => {
    const light: Stripe = { ...blank, luma: 200 };
    const dark: Stripe = { side: (t) => bow(t) + 1.1 * taper(t), width: taper, z: 60, luma: 60, from: 0 };
    const edges = cameras.map((camera) => walk(camera, 60, [light, dark]));
    const [best] = searchBlank(edges, cameras, lane, { ...expected, finish: 'light' });
    for (let t = 100; t < 680; t += 40) expect(Math.abs(best!.side(t) - bow(t)), `at ${t}`).toBeLessThan(1.2);
  });

  test('the grain of a bench beyond the outer page does not carry the blank on over the page’s edge', () => {
    const bench: Colour = [140, 120, 140];
    const grained = (camera: Camera, to: number): LaneEdges => {
      const own = walk(camera, 60, [{ ...blank, from: to + 4 }]);
      const grain = walk(camera, 60, [{ ...blank, luma: 70, from: -100 }]);
      const onBench = [...grain.stations].filter(({ t }) => t < to).map((station) => ({ ...station, paper: bench }));
      return { ...own, stations: [...onBench, ...[...own.stations].filter(({ t }) => t >= to)] };
    };
    // on blocks the camera sees the bench behind the blank well before the blank leaves the page
    for (const to of [-70, -46]) {
      const [first] = searchBlank([grained(cameras[0]!, to)], cameras.slice(0, 1), lane, expected);
      expect(first!.crossings[0]![0]!.t).toBeGreaterThan(to);
    }
    // on paper as light as the page the same edges are a blank's
    const onPaper = walk(cameras[0]!, 60, [{ ...blank, from: -100 }]);
    const [whole] = searchBlank([onPaper], cameras.slice(0, 1), lane, expected);
    expect(whole!.crossings[0]![0]!.t).toBeLessThan(-85);
  });

  test('where nothing is as wide as the blank there is no way', () => {
    const edges = cameras.map((camera) => walk(camera, 60, [{ ...blank, width: (t) => 3 * taper(t) + 4 }]));
    expect([...searchBlank(edges, cameras, lane, expected)]).toEqual([]);
  });
});
