import { describe, expect, test } from 'vitest';
import { blankSolution, fitWithTip } from '../../src/adjust/blank_adjustment.ts';
import { chooseBlank } from '../../src/adjust/blank_choice.ts';
import { type BlankProblem, outlineSigma } from '../../src/adjust/blank_problem.ts';
import { stationAt } from '../../src/adjust/blank_model.ts';
import { fitOutline } from '../../src/adjust/blank_rounds.ts';
import { prior } from '../../src/adjust/prior.ts';
import { blankShape, mirroredShare } from '../../src/adjust/blank_shape.ts';
import { matchOutline } from '../../src/adjust/outline_match.ts';
import { matDoubt, tipEnd } from '../../src/adjust/propagation.ts';
import { project, type Camera } from '../../src/geometry/camera.ts';
import type { Lane } from '../../src/vision/lane.ts';
import type { LaneEdge, LaneEdges } from '../../src/vision/lane_edges.ts';
import type { Colour } from '../../src/vision/strip_relief.ts';
import { blank as longBlank, edges as readEdges, mat, problem } from '../world/read_outlines.ts';
import { cameraLookingAt } from '../world/ring_scene.ts';

const paper: Colour = [215, 128, 128];
const dark: Colour = [50, 128, 128];
const lane: Lane = { origin: [0, 0], direction: [1, 0], from: -40, to: 440 };
const high = 10;
const radius = (t: number) => 1.5 + (2 * t) / 400;
const cameras = (
  [
    [100, 30, 420],
    [200, -110, 400],
    [300, 60, 410],
  ] as const
).map((eye) => cameraLookingAt(eye, [eye[0], 0, 0], 1500, 1600, 900));

/** A walk across the lane at t: steps of luma at these places at the axis's height (mm), and the colour beside each. */
function station(
  camera: Camera,
  t: number,
  steps: readonly { v: number; below: Colour; above: Colour; slope: number }[],
) {
  const at = (v: number, z: number) => project(camera, [t, v, z])!;
  const middle = at(0, high);
  const far = at(40, high);
  const length = Math.hypot(far[0] - middle[0], far[1] - middle[1]);
  const across = [(far[0] - middle[0]) / length, (far[1] - middle[1]) / length] as const;
  const pixelsPerMm = length / 40;
  const edges = steps.map(({ v, ...rest }): LaneEdge => {
    const p = at(v, high);
    const d = (p[0] - middle[0]) * across[0] + (p[1] - middle[1]) * across[1];
    return { v, d, ...rest };
  });
  const n = Math.round(50 * pixelsPerMm);
  return {
    t,
    middle,
    across,
    pixelsPerMm,
    chroma: { first: -n, blue: new Float32Array(2 * n + 1).fill(128), red: new Float32Array(2 * n + 1).fill(128) },
    paper,
    mostColour: 0,
    edges,
  };
}

/** Each photo's edges of a dark blank along the lane's middle line from t = 0 to 400, seen on the plane of its axis. */
const walked = (camera: Camera, beside: readonly { v: number; width: number }[] = []): LaneEdges => ({
  height: high,
  stations: Array.from({ length: 121 }, (_, i) => lane.from + 4 * i).map((t) => {
    const things = t >= 0 && t <= 400 ? [{ v: 0, width: 2 * radius(t) }, ...beside] : beside;
    return station(
      camera,
      t,
      things
        .flatMap(({ v, width }) => [
          { v: v - width / 2, below: paper, above: dark, slope: -30 },
          { v: v + width / 2, below: dark, above: paper, slope: 30 },
        ])
        .sort((a, b) => a.v - b.v),
    );
  }),
});
const planned = { length: 400, tipDiameter: 3, buttDiameter: 7, finish: 'dark' } as const;
const rest = { kind: 'blocks', axisHeight: high } as const;

describe('where the blank lies among all edges', () => {
  const choose = (beside: Parameters<typeof walked>[1] = []) =>
    chooseBlank(
      cameras.map((camera) => walked(camera, beside)),
      cameras,
      lane,
      { blank: planned, rest },
      () => ({ value: 0, u: 0.1 }),
    );

  test('it is the way whose pairs of edges have its width, its tip where they begin', () => {
    const chosen = choose()!;
    expect(chosen.tipSeen).toBe(true);
    const { model, values } = chosen.problem;
    expect(Math.abs(values[model.tip]!)).toBeLessThan(8);
  });

  test('followed from there, its outlines meet on its axis; less believed, they give way more to what is known before', () => {
    const own = choose()!;
    const round = { reach: 0.6, pairsFirst: false };
    const followed = (problem: BlankProblem) => fitOutline(problem, own.edges, cameras, 'dark', round);
    const { values, points } = followed(own.problem);
    expect(points.flat().length).toBeGreaterThan(300);
    for (const t of [60, 200, 340])
      expect(Math.abs(stationAt(own.problem.model, values, t).point[1])).toBeLessThan(0.1);
    const aside = prior(own.problem.model.side + 2, 0.5, 0.1);
    const pulled = (edgeSigma: number) => {
      const priors = [...own.problem.priors, aside];
      return followed({ ...own.problem, priors, edgeSigma }).values[own.problem.model.side + 2]!;
    };
    expect(pulled(outlineSigma.together)).toBeGreaterThan(1.3 * pulled(outlineSigma.alone));
  });

  test('a strip of another width beside it is not taken for it', () => {
    const { problem: own } = choose([{ v: 25, width: 14 }])!;
    const side = own.values.subarray(own.model.side, own.model.side + 4);
    for (const value of side) expect(Math.abs(value)).toBeLessThan(2);
  });

  test('of bare paper there is none', () => {
    const bare = cameras.map((camera) => ({
      height: high,
      stations: Array.from({ length: 121 }, (_, i) => station(camera, lane.from + 4 * i, [])),
    }));
    expect(chooseBlank(bare, cameras, lane, { blank: planned, rest }, () => ({ value: 0, u: 0.1 }))).toBeUndefined();
  });
});

describe('the outlines that a model has', () => {
  const [camera] = cameras as [Camera];
  const stationOff = (off: number) => (t: number) => ({
    t,
    point: [t, off, high] as const,
    along: [1, 0, 0] as const,
    radius: radius(t),
  });
  const match = (edges: LaneEdges, off = 0, finish: 'dark' | 'light' = 'dark') =>
    matchOutline(edges, camera, stationOff(off), { from: 40, to: 160 }, { reach: 1.5, finish });

  test('are met on both sides, in pairs of the blank’s width', () => {
    const found = match(walked(camera));
    expect(found.paired).toBe(31);
    expect(found.points).toHaveLength(62);
    expect(found.worth).toBeGreaterThan(25);
    expect(match(walked(camera), 0.6).paired).toBe(31);
  });

  test('are not where edges lie at another width, or get darker outward', () => {
    const wide = {
      ...walked(camera),
      stations: [...walked(camera).stations].map((own) => ({
        ...own,
        edges: own.edges.map((edge) => ({ ...edge, d: edge.d * 1.8 })),
      })),
    };
    expect(match(wide).paired).toBe(0);
    const inverted = {
      ...walked(camera),
      stations: [...walked(camera).stations].map((own) => ({
        ...own,
        edges: own.edges.map((edge) => ({ ...edge, slope: -edge.slope })),
      })),
    };
    expect(match(inverted).points).toEqual([]);
    // Only a light blank may be lighter than its ground; one that is dark inside both edges is its shadow.
    expect(match(inverted, 0, 'light').paired).toBe(0);
    const light = {
      ...inverted,
      stations: inverted.stations.map((own) => ({
        ...own,
        edges: own.edges.map((edge) => ({ ...edge, below: own.paper, above: own.paper })),
      })),
    };
    expect(match(light, 0, 'light').paired).toBeGreaterThan(20);
  });

  test('one side alone counts where the other shows nothing', () => {
    const half = {
      ...walked(camera),
      stations: [...walked(camera).stations].map((own) => ({ ...own, edges: own.edges.slice(1) })),
    };
    const found = match(half);
    expect(found.paired).toBe(0);
    expect(found.points.length).toBe(31);
    expect(found.points.every(({ paired }) => !paired)).toBe(true);
  });
});

describe('diameters and bow of a bare blank', () => {
  const solved = fitWithTip(problem, mat.cameras, readEdges);
  const solution = blankSolution(
    mat.cameras,
    longBlank.length,
    { problem: solved, ...readEdges, astray: 0 },
    undefined,
  );
  const doubt = matDoubt(mat, tipEnd(solution))!;
  const shape = (more: Partial<Parameters<typeof blankShape>[3]> = {}) =>
    blankShape(mat, doubt, solution, { along: [50, 300, 550], bleed: 0, limbHidden: false, ...more });

  test('lie within their doubt of what was drawn; the chord’s ends have no bow', () => {
    const rows = shape();
    for (const { along, diameter, diameterU } of rows)
      expect(Math.abs(diameter - (2 + (6 * along) / 620))).toBeLessThan(4 * diameterU);
    expect([rows[0]!.side, rows[0]!.sideU, rows[2]!.up, rows[2]!.upU].map((v) => +v!.toFixed(9) + 0)).toEqual([
      0, 0, 0, 0,
    ]);
    expect(Math.abs(rows[1]!.side)).toBeLessThan(3 * rows[1]!.sideU);
    expect(rows[1]!.upU).toBeGreaterThan(rows[1]!.sideU);
  });

  test('what white bleeds over is added, and a limb that a shadow hides doubts all by its share', () => {
    expect(shape({ bleed: 0.05 })[1]!.diameter - shape()[1]!.diameter).toBeCloseTo(0.1, 9);
    const hidden = shape({ limbHidden: true })[1]!;
    expect(hidden.diameterU).toBeGreaterThan((mirroredShare * hidden.diameter) / 2);
    expect(hidden.sideU).toBeGreaterThan(shape()[1]!.sideU);
  });

  test('of photos that do not determine it the doubt has no bounds', () => {
    const [, row] = blankShape(
      mat,
      doubt,
      { ...solution, covariance: undefined },
      { along: [50, 300, 550], bleed: 0, limbHidden: false },
    );
    expect(row!.sideU).toBe(Number.POSITIVE_INFINITY);
  });
});
