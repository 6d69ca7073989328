import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { eachUnknown, placeRing, rimDerivative, type RingState, ringUnknowns } from '../../src/adjust/ring_state.ts';
import { project } from '../../src/geometry/camera.ts';
import { type Ring, type RimPoint, ringRims } from '../../src/geometry/ring.ts';
import { add, addScaled, dot, norm, scale, subtract, unit, type Vector3 } from '../../src/geometry/vector.ts';
import { projectionRows } from '../../src/vision/rim_edges.ts';
import { cameraLookingAt } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const ring: Ring = {
  centre: [100, 2, 20],
  normal: unit([0.98, 0.03, 0.18]),
  outer: 5,
  inner: 3.6,
  halfThickness: 1.2,
  boreHalfThickness: 1.3,
  rounding: 0.4,
};

/** Surface normal at a rim point of the outline or bore. */
const surfaceNormal = (r: Ring, p: RimPoint): Vector3 =>
  add(scale(p.radial, p.normalRadial), scale(r.normal, p.normalAxial));

const eyes = fc.record({
  x: fc.double({ min: -300, max: 500, noNaN: true }),
  y: fc.double({ min: -250, max: 250, noNaN: true }),
  z: fc.double({ min: 250, max: 1200, noNaN: true }),
});

describe('a ring seen from a camera', () => {
  test('straight down the bore, the outline is the outer circle and the hole is the bore', () => {
    const along: Ring = { ...ring, centre: [0, 0, 0], normal: [1, 0, 0] };
    const rims = ringRims(along, [1e6, 0, 0], 48).flat();
    for (const p of rims) {
      const radius = Math.hypot(p.point[1], p.point[2]);
      if (p.part === 'outline') expect(radius).toBeCloseTo(5, 4);
      if (p.part === 'bore') expect(radius).toBeCloseTo(3.6, 4);
    }
    expect(rims.some((p) => p.part === 'outline')).toBe(true);
    expect(rims.some((p) => p.part === 'bore')).toBe(true);
  });

  test('square to the axis, the outline is as wide as the ring is thick and as high as its outer diameter', () => {
    const side: Ring = { ...ring, centre: [0, 0, 0], normal: [1, 0, 0] };
    const outline = ringRims(side, [0, 0, 1e6], 96)[0]!;
    const xs = outline.map((p) => p.point[0]);
    const ys = outline.map((p) => p.point[1]);
    expect(Math.max(...xs)).toBeCloseTo(1.2, 3);
    expect(Math.min(...xs)).toBeCloseTo(-1.2, 3);
    expect(Math.max(...ys)).toBeCloseTo(5, 2);
  });

  test('the silhouette is where the line of sight grazes the surface', () => {
    fc.assert(
      fc.property(eyes, ({ x, y, z }) => {
        const eye: Vector3 = [x, y, z];
        for (const p of ringRims(ring, eye, 36).flat()) {
          if (p.part !== 'outline' && p.part !== 'bore') continue;
          if (p.normalAxial === 0) continue; // the straight stretch between two corners, placed between two angles
          const sight = unit(subtract(eye, p.point));
          // The section's normal is taken at the middle of the wall: off by the wall's half over the distance.
          expect(Math.abs(dot(sight, surfaceNormal(ring, p)))).toBeLessThan(ring.outer / 200);
        }
      }),
    );
  });

  test('every rim point lies on the surface of the rounded section', () => {
    fc.assert(
      fc.property(eyes, ({ x, y, z }) => {
        for (const p of ringRims(ring, [x, y, z], 24).flat()) {
          const arm = subtract(p.point, ring.centre);
          const axial = dot(arm, ring.normal);
          const radial = norm(addScaled(arm, ring.normal, -axial));
          const half = p.part === 'outline' || p.part === 'face-outer' ? ring.halfThickness : ring.boreHalfThickness;
          const u = Math.abs(radial - 4.3) - (0.7 - ring.rounding);
          const v = Math.abs(axial) - (half - ring.rounding);
          expect(Math.hypot(Math.max(u, 0), Math.max(v, 0)) + Math.min(Math.max(u, v), 0)).toBeCloseTo(
            ring.rounding,
            9,
          );
        }
      }),
    );
  });
});

test('the projection and its derivative agree with the camera model', () => {
  const camera = cameraLookingAt([80, 60, 400], [120, 0, 0], 2000, 3000, 2000);
  const point: Vector3 = [60, -40, 25];
  const rows = projectionRows(camera, point)!;
  expect(rows.pixel[0]).toBeCloseTo(project(camera, point)![0], 9);
  expect(rows.pixel[1]).toBeCloseTo(project(camera, point)![1], 9);
  const h = 1e-4;
  for (const [i, axis] of (
    [
      [1, 0, 0],
      [0, 1, 0],
      [0, 0, 1],
    ] as Vector3[]
  ).entries()) {
    const ahead = project(camera, addScaled(point, axis, h))!;
    const back = project(camera, addScaled(point, axis, -h))!;
    expect(rows.u[i]).toBeCloseTo((ahead[0] - back[0]) / (2 * h), 5);
    expect(rows.v[i]).toBeCloseTo((ahead[1] - back[1]) / (2 * h), 5);
  }
});

test("the outline's motion by each unknown: analytic against the moved ring's own silhouette", () => {
  const axis = straightAxis(200, 1, 3, 8);
  const camera = cameraLookingAt([60, 90, 300], [100, 0, 10], 2000, 3000, 2000);
  const eye: Vector3 = [60, 90, 300];
  const state: RingState = {
    along: 101.3,
    right: 1.2,
    up: 12.4,
    lean: 0.11,
    yaw: 0.03,
    outer: 5,
    inner: 3.6,
    halfThickness: 1.2,
    rounding: 0.4,
    boreHalfThickness: 1.3,
  };
  const placed = placeRing(axis, state);
  // Far finer than the places compared: the nearest point of the moved silhouette is then read to 0.01 px.
  const h = 0.02;
  const row = new Float64Array(ringUnknowns.length);
  let compared = 0;
  for (const [a, name] of ringUnknowns.entries()) {
    const step = name === 'lean' || name === 'yaw' ? h / 5 : h;
    const moved = placeRing(
      axis,
      eachUnknown((other) => (other === name ? state[other] + step : state[other])),
    ).ring;
    const lines = ringRims(moved, eye, 1440).map((run) => ({
      part: run[0]!.part,
      pixels: run.map((p) => project(camera, p.point)!),
    }));
    for (const run of ringRims(placed.ring, eye, 24)) {
      for (const p of run) {
        if (p.part !== 'outline' || p.normalAxial === 0) continue;
        const { pixel, u, v } = projectionRows(camera, p.point)!;
        const n = surfaceNormal(placed.ring, p);
        const gx = dot(u, n);
        const gy = dot(v, n);
        const length = Math.hypot(gx, gy);
        const outward: [number, number] = [gx / length, gy / length];
        const g = add(scale(u, outward[0]), scale(v, outward[1]));
        rimDerivative(placed, p, g, row);
        const expected = row[a]! * step;
        let nearest = Number.POSITIVE_INFINITY;
        let offset = 0;
        for (const line of lines) {
          if (line.part !== 'outline') continue;
          for (const q of line.pixels) {
            const dx = q[0] - pixel[0];
            const dy = q[1] - pixel[1];
            const sideways = Math.abs(dx * outward[1] - dy * outward[0]);
            if (sideways < nearest && Math.abs(dx * outward[0] + dy * outward[1]) < 3) {
              nearest = sideways;
              offset = dx * outward[0] + dy * outward[1];
            }
          }
        }
        if (nearest > 0.05) continue;
        compared++;
        expect(Math.abs(offset - expected)).toBeLessThan(0.02);
      }
    }
  }
  expect(compared).toBeGreaterThan(100);
});
