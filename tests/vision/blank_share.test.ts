import { describe, expect, test } from 'vitest';
import { type Camera, makeCamera, project } from '../../src/geometry/camera.ts';
import { withBlankShare, worthBySight } from '../../src/vision/blank_share.ts';
import { classNames, type ClassName, type LaneSeen } from '../../src/vision/finder/sighting.ts';
import { type Lane, lanePoint } from '../../src/vision/lane.ts';
import { type LaneEdges, type LaneStation, reverseEdges } from '../../src/vision/lane_edges.ts';

const lane: Lane = { origin: [0, 0], direction: [1, 0], from: -100, to: 100 };

/** A camera 500 mm over the paper, so far to one side of the lane. */
const over = (y: number): Camera =>
  makeCamera(
    { focal: 3000, centre: [2000, 1500], distortion: [0, 0, 0, 0, 0] },
    { rotation: [Math.PI, 0, 0], translation: [0, y, 500] },
  );

/** A lane whose cells across are of these kinds, from so many mm across on; all else is paper. */
function seenLane(stripes: readonly { from: number; to: number; kind: ClassName }[]): LaneSeen {
  const [rows, columns] = [128, 201];
  const classes = new Uint8Array(rows * columns);
  const across = -63.5;
  for (let row = 0; row < rows; row++) {
    const v = across + row;
    const kind = stripes.find(({ from, to }) => v >= from && v < to)?.kind ?? 'paper';
    classes.fill(classNames.indexOf(kind), row * columns, (row + 1) * columns);
  }
  const certainty = new Uint8Array(rows * columns).fill(250);
  return {
    view: 0,
    pixelsPerMm: 6,
    tips: [],
    classes: { from: -100, across, step: 1, rows, columns, classes, certainty },
  };
}

/** One walk across the lane at t, on the plane so high over the paper; no edges. */
function walkAt(t: number, camera: Camera, height: number): LaneEdges {
  const middle = project(camera, lanePoint(lane, t, 0, height))!;
  const chroma = { first: 0, blue: new Float32Array(0), red: new Float32Array(0) };
  const station: LaneStation = {
    t,
    middle,
    across: [0, -1],
    pixelsPerMm: 6,
    chroma,
    paper: [230, 128, 128],
    mostColour: 0,
    edges: [],
  };
  return { height, stations: [station] };
}

const stationOf = (camera: Camera, height: number, seen: LaneSeen) =>
  [...withBlankShare(walkAt(20, camera, height), camera, lane, seen).stations][0]!;

describe('what the finder sees between two edges', () => {
  const seen = seenLane([
    { from: -3, to: 2, kind: 'blank' },
    { from: 2, to: 7, kind: 'shadow' },
  ]);
  const station = stationOf(over(0), 0, seen);

  test('edges round the blank keep their worth, those round its shadow hardly any, those on paper some', () => {
    expect(worthBySight(station, -3 * 6, 2 * 6)).toBe(1);
    expect(worthBySight(station, 2.5 * 6, 7 * 6)).toBeCloseTo(0.1, 6);
    expect(worthBySight(station, -20 * 6, -15 * 6)).toBeCloseTo(0.4, 6);
  });

  test('what covers a blank does not speak against it', () => {
    const taped = stationOf(over(0), 0, seenLane([{ from: -3, to: 2, kind: 'tape' }]));
    expect(worthBySight(taped, -3 * 6, 2 * 6)).toBe(1);
  });

  test('where the finder was not asked everything keeps its worth', () => {
    expect(worthBySight([...walkAt(20, over(0), 0).stations][0]!, 12, 42)).toBe(1);
  });

  test('a blank over the paper shows on it where the line of sight goes on to', () => {
    // From 60 mm aside and 500 up, what stands 40 mm over the paper at 0 hides the paper at 60 - 60 * 500 / 460.
    const hidden = seenLane([{ from: -7.2, to: -3.2, kind: 'blank' }]);
    expect(Math.abs(stationOf(over(60), 40, hidden).blank!.runs[0]!.middle)).toBeLessThan(1);
    expect(stationOf(over(60), 0, hidden).blank!.runs[0]!.middle).toBeLessThan(-4);
  });

  test('its runs say where it lies and how broad it is', () => {
    expect(station.blank!.runs).toHaveLength(1);
    expect(Math.abs(station.blank!.runs[0]!.middle + 0.5)).toBeLessThanOrEqual(0.5);
    expect(Math.abs(station.blank!.runs[0]!.breadth - 5)).toBeLessThanOrEqual(1);
  });

  test('the lane walked the other way says the same of the same place', () => {
    const back = [...reverseEdges({ height: 0, stations: [station] }).stations][0]!;
    for (const [low, high] of [
      [-18, 12],
      [15, 42],
      [-60, -30],
    ] as const)
      expect(worthBySight(back, -high, -low)).toBeCloseTo(worthBySight(station, low, high), 1);
    expect(back.blank!.runs[0]!.middle).toBe(-station.blank!.runs[0]!.middle);
  });
});
