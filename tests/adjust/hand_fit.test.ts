import { describe, expect, it } from 'vitest';
import { handMark, handRing } from '../../src/adjust/hand_fit.ts';
import { type BlankAxis, crossSection, rollDirection } from '../../src/geometry/blank_axis.ts';
import { cameraCentre, makeCamera, project } from '../../src/geometry/camera.ts';
import { addScaled, type Pixel, type Vector3 } from '../../src/geometry/vector.ts';
import type { Guide } from '../../src/plan/plan.ts';
import { facingRoll } from '../../src/vision/strip.ts';
import { seededNormal } from '../world/seeded_random.ts';

const axis: BlankAxis = {
  from: 0,
  step: 10,
  points: Array.from({ length: 101 }, (_, i): Vector3 => [10 * i, 2 + 0.002 * i * i * 0.1, 3 + 0.05 * i]),
  radii: Array.from({ length: 101 }, (_, i) => 1 + 0.03 * i),
};
const lens = { focal: 3000, centre: [2015.5, 1511.5] as Pixel, distortion: [0.03, -0.02, 0, 0, 0] as const };
/** Looks straight down from over (x, y), or tilted by `tilt` radians about the rod. */
const over = (x: number, y: number, z: number, tilt = 0) => {
  const rotation: Vector3 = [Math.PI + tilt, 0, 0];
  const camera = makeCamera(lens, { rotation, translation: [0, 0, 0] });
  const m = camera.matrix;
  const t: Vector3 = [
    -(m[0] * x + m[1] * y + m[2] * z),
    -(m[3] * x + m[4] * y + m[5] * z),
    -(m[6] * x + m[7] * y + m[8] * z),
  ];
  return makeCamera(lens, { rotation, translation: t });
};
const cameras = [over(400, 0, 550), over(600, -180, 560, -0.3), over(450, 170, 540, 0.3)];

describe('a mark set by hand', () => {
  it('lies where the pointed place meets the surface', () => {
    const pointed = cameras.map((camera, view) => {
      const section = crossSection(axis, 437.3);
      const facing = rollDirection(section, facingRoll(section, cameraCentre(camera)));
      return { view, points: [project(camera, addScaled(section.point, facing, section.radius))!] };
    });
    const mark = handMark(cameras, axis, pointed)!;
    expect(mark.value).toBeCloseTo(437.3, 2);
    // One pointed place: 2.5 px at about 5.4 px a mm.
    const one = handMark(cameras, axis, pointed.slice(0, 1))!;
    expect(one.u).toBeGreaterThan(0.35);
    expect(one.u).toBeLessThan(0.6);
    expect(mark.u).toBeLessThan(one.u);
  });
});

describe('a ring set by hand', () => {
  const guide: Guide = { ringOuter: 16, ringInner: 11.4, height: 22, lean: 8, foot: 'single' };
  const truth = { along: 512.6, roll: 4 };
  const rimPoints = (camera: (typeof cameras)[0], count: number, noise: () => number): Pixel[] => {
    const section = crossSection(axis, truth.along);
    const out = rollDirection(section, truth.roll);
    const sideways = rollDirection(section, truth.roll + 90);
    const centre = addScaled(section.point, out, section.radius + guide.height);
    const lean = (guide.lean * Math.PI) / 180;
    return Array.from({ length: count }, (_, i): Pixel => {
      const a = (2 * Math.PI * (i + 0.3)) / count;
      const r = guide.ringOuter / 2;
      const first = addScaled(addScaled([0, 0, 0], out, Math.cos(lean)), section.along, -Math.sin(lean));
      const p = project(camera, addScaled(addScaled(centre, first, r * Math.cos(a)), sideways, r * Math.sin(a)))!;
      return [p[0] + noise(), p[1] + noise()];
    });
  };

  it('is found from points round its rim in three photos', () => {
    const pointed = cameras.map((camera, view) => ({ view, points: rimPoints(camera, 6, () => 0) }));
    const ring = handRing(cameras, axis, guide, pointed)!;
    expect(ring.along.value).toBeCloseTo(truth.along, 1);
    expect((Math.atan2(ring.right.value, ring.up.value) * 180) / Math.PI).toBeCloseTo(truth.roll, 0);
  });

  it('states a doubt that covers what a shaky hand makes of it', () => {
    const normal = seededNormal(7);
    let inside = 0;
    const trials = 60;
    for (let i = 0; i < trials; i++) {
      const pointed = cameras.slice(0, 2).map((camera, view) => ({
        view,
        points: rimPoints(camera, 5, () => 2.5 * normal()),
      }));
      const ring = handRing(cameras, axis, guide, pointed)!;
      if (Math.abs(ring.along.value - truth.along) <= 2 * ring.along.u) inside++;
    }
    expect(inside / trials).toBeGreaterThan(0.85);
  });

  it('is found though it is seen from its edge', () => {
    const small: Guide = { ringOuter: 6, ringInner: 4.3, height: 7, lean: 0, foot: 'single' };
    const normal = seededNormal(11);
    let sideways = 0;
    for (let trial = 0; trial < 100; trial++) {
      const section = crossSection(axis, 400 + trial / 10);
      const centre = addScaled(section.point, section.up, section.radius + small.height);
      const pointed = cameras.slice(0, 2).map((camera, view) => ({
        view,
        points: Array.from({ length: 5 }, (_, i): Pixel => {
          const angle = (2 * Math.PI * (i + trial / 100)) / 5;
          const high = addScaled(centre, section.up, 3 * Math.cos(angle));
          const p = project(camera, addScaled(high, section.right, 3 * Math.sin(angle)))!;
          return [p[0] + 2.5 * normal(), p[1] + 2.5 * normal()];
        }),
      }));
      const ring = handRing(cameras, axis, small, pointed);
      expect(ring).toBeDefined();
      expect(Math.abs(ring!.along.value - (400 + trial / 10))).toBeLessThan(4 * ring!.along.u);
      if (Math.abs(ring!.right.value) <= 2 * ring!.right.u) sideways++;
    }
    expect(sideways / 100).toBeGreaterThan(0.85);
  });

  it('is not made of two points', () => {
    expect(handRing(cameras, axis, guide, [{ view: 0, points: rimPoints(cameras[0]!, 2, () => 0) }])).toBeUndefined();
  });
});
