import { expect, test } from 'vitest';
import { blankProblem } from '../../src/adjust/blank_problem.ts';
import { sightedSides } from '../../src/adjust/sighted_sides.ts';
import { makeCamera, project } from '../../src/geometry/camera.ts';
import { solveLeastSquares } from '../../src/numerics/least_squares.ts';
import { splineValue } from '../../src/geometry/spline.ts';
import type { Blank } from '../../src/plan/plan.ts';
import { type Lane, lanePoint } from '../../src/vision/lane.ts';
import type { LaneEdges } from '../../src/vision/lane_edges.ts';

const lane: Lane = { origin: [0, 0], direction: [1, 0], from: -100, to: 800 };
const blank: Blank = { length: 700, tipDiameter: 2, buttDiameter: 10, finish: 'dark' };
const height = 5;
const camera = makeCamera(
  { focal: 3000, centre: [2000, 1500], distortion: [0, 0, 0, 0, 0] },
  { rotation: [Math.PI, 0, 0], translation: [-350, 0, 900] },
);
const expected = {
  width: () => 5,
  latitude: { share: 0.15, extra: 0.4 },
  height: () => height,
  finish: 'dark' as const,
};

/** Walks whose finder sees something so broad lie so far across. */
function walks(across: (t: number) => number, breadth: number): LaneEdges {
  const stations = [];
  for (let t = 0; t <= 700; t += 4) {
    const middle = project(camera, lanePoint(lane, t, 0, height))!;
    const chroma = { first: 0, blue: new Float32Array(0), red: new Float32Array(0) };
    const seen = { first: 0, share: new Float32Array(0), runs: [{ middle: across(t), breadth }] };
    stations.push({
      t,
      middle,
      across: [0, -1] as const,
      pixelsPerMm: 3,
      chroma,
      paper: [230, 128, 128] as const,
      mostColour: 0,
      edges: [],
      blank: seen,
    });
  }
  return { height, stations };
}

const problem = blankProblem(
  lane,
  { tip: 0, tipSeen: true, grip: 690, side: () => 4 },
  blank,
  { kind: 'blocks', axisHeight: height },
  () => ({ value: 0, u: 0.1 }),
);

/** Where the axis lies across once the sightings have their say, no outline read. */
function settled(edges: LaneEdges): (t: number) => number {
  const sighted = sightedSides(problem, [edges], [camera], expected, () => 4);
  const { values } = solveLeastSquares([...problem.priors, ...sighted], problem.values, { maximumIterations: 20 });
  return (t) => splineValue(problem.model.spline, values, problem.model.side, t);
}

test('a way that runs along the shadow is drawn to where the finder sees the blank', () => {
  const side = settled(walks(() => -1, 5));
  for (const t of [40, 200, 400, 650]) expect(Math.abs(side(t) + 1)).toBeLessThan(0.3);
});

test('what is broader than a blank, or far off, says nothing', () => {
  expect(sightedSides(problem, [walks(() => -1, 30)], [camera], expected, () => 4)).toEqual([]);
  expect(sightedSides(problem, [walks(() => 30, 5)], [camera], expected, () => 4)).toEqual([]);
});

test('where the finder was not asked nothing is said', () => {
  const { stations } = walks(() => -1, 5);
  const bare = { height, stations: Array.from(stations, (station) => ({ ...station, blank: undefined })) };
  expect(sightedSides(problem, [bare], [camera], expected, () => 4)).toEqual([]);
});
