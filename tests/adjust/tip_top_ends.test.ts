import { describe, expect, test, vi } from 'vitest';

import { tipTopEnds, tipTopZero, tubeEndRange } from '../../src/adjust/tip_top_ends.ts';
import { ray } from '../../src/geometry/camera.ts';
import { addScaled } from '../../src/geometry/vector.ts';
import { emptyPhoto } from '../../src/photo/luma.ts';
import type { TipTop } from '../../src/plan/plan.ts';
import type { View } from '../../src/vision/strip.ts';
import { findTubeEnd } from '../../src/vision/tube_end.ts';
import { cameraLookingAt } from '../world/ring_scene.ts';
import { seededNormal } from '../world/seeded_random.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

/** Drawing takes most of the time. */
vi.setConfig({ testTimeout: 60_000 });

const height = 12;
const axis = straightAxis(600, 0.8, 2, height);
const tipTop: TipTop = { ringOuter: 5, ringInner: 3.6, tubeLength: 7, tubeInner: 1.7 };

interface Drawn {
  /** where the tube's closed end is, mm along; no tube when absent */
  closed?: number;
  wall?: number;
  /** a light mark on the blank */
  mark?: [number, number];
  /** mm from the closed end to where the ring's legs end on the tube */
  legs?: number;
  seed?: number;
}

/** A photo of a flat dark outline on light paper, from `distance` mm above: blank, tube and the legs of its ring. */
function drawn({ closed, wall = 0.4, mark, legs = 3, seed = 1 }: Drawn, distance = 600): View {
  const [width, rows] = [700, 500];
  const camera = cameraLookingAt([30, 15, distance], [20, 0, height], 3000, width, rows);
  const photo = emptyPhoto('drawn', width, rows);
  const normal = seededNormal(seed);
  const darkAt = (s: number, w: number): number => {
    const radius = 0.8 + (1.2 * s) / 600;
    const onTube = closed !== undefined && s > closed && s < closed + tipTop.tubeLength;
    const onLegs =
      closed !== undefined && s > closed - 1 && s < closed + legs && Math.abs(w) < 2.4 - (1.2 / legs) * (s - closed);
    if (onLegs || (onTube && Math.abs(w) < radius + wall)) return 40;
    if (s < (closed ?? 0) || Math.abs(w) > radius) return 215;
    return mark && s > mark[0] && s < mark[1] ? 190 : 45;
  };
  for (let y = 0; y < rows; y++)
    for (let x = 0; x < width; x++) {
      let sum = 0;
      for (const [dx, dy] of [
        [-0.3, -0.3],
        [0.3, -0.3],
        [-0.3, 0.3],
        [0.3, 0.3],
      ] as const) {
        const { origin, direction } = ray(camera, [x + dx, y + dy]);
        const [s, w] = addScaled(origin, direction, (height - origin[2]) / direction[2]);
        sum += darkAt(s, w) / 4;
      }
      photo.luma[y * width + x] = Math.min(Math.max(sum + 2 * normal(), 0), 255);
    }
  return { photo, camera };
}

/** The ring's centre as its rims would have it. */
const ringOf = (closed: number) => ({ value: closed - 1.1, u: 0.1 });

/** Its ends by its ring's place and by what these photos show of its tube. */
function endsIn(views: readonly View[], ring: ReturnType<typeof ringOf>) {
  const range = tubeEndRange(tipTop, ring);
  const shown = views.flatMap((view, index) => {
    const end = findTubeEnd(view, axis, range);
    return end ? [{ view: index, ...end }] : [];
  });
  return tipTopEnds(shown, tipTop, ring);
}

describe('ends of a tip-top’s tube', () => {
  test.each([-0.2, -0.5, -0.9])('are read where its outline gives way to the blank (closed at %f)', (closed) => {
    const ends = endsIn([drawn({ closed })], ringOf(closed));
    expect(ends.views).toEqual([0]);
    expect(Math.abs(ends.open.value - closed - 7)).toBeLessThan(0.2);
    expect(Math.abs(ends.closed.value - closed)).toBeLessThan(2 * ends.closed.u);
  });

  test('a light mark close behind does not pass for the end', () => {
    const ends = endsIn([drawn({ closed: -0.5, mark: [7.2, 9] })], ringOf(-0.5));
    expect(Math.abs(ends.open.value - 6.5)).toBeLessThan(2 * ends.open.u);
  });

  test('legs that end on a thin tube do not pass for its end', () => {
    const [closed, wall] = [-0.5, 0.2];
    const range = tubeEndRange(tipTop, ringOf(closed));
    const end = findTubeEnd(drawn({ closed, wall, legs: 5 }), axis, range);
    expect(Math.abs((end?.along ?? 6.5) - 6.5)).toBeLessThan(0.4);
  });

  test('two photos know it better than one, and two that disagree say so', () => {
    const views = [drawn({ closed: -0.5 }), drawn({ closed: -0.5, seed: 2 })];
    const one = endsIn(views.slice(0, 1), ringOf(-0.5));
    const both = endsIn(views, ringOf(-0.5));
    expect(both.open.u).toBeLessThan(one.open.u);
    const apart = endsIn([drawn({ closed: -1.2 }), drawn({ closed: 0.2 })], ringOf(-0.5));
    expect(apart.open.u).toBeGreaterThan(1.5 * both.open.u);
  });

  test('a tube no thicker than the blank shows no end: its ring alone tells, with more doubt', () => {
    const shown = endsIn([drawn({ closed: -0.5 })], ringOf(-0.5));
    const hidden = endsIn([drawn({ closed: -0.5, wall: 0.02 })], ringOf(-0.5));
    expect(hidden.views).toEqual([]);
    expect(hidden.closed.u).toBeGreaterThan(shown.closed.u);
    expect(Math.abs(hidden.closed.value + 0.5)).toBeLessThan(2 * hidden.closed.u);
  });
});

describe('what distances count from', () => {
  const ring = { value: -1.6, u: 0.1 };
  const ends = { closed: { value: -0.5, u: 0.2 }, open: { value: 6.5, u: 0.15 }, views: [0] };

  test('the blank’s end sits home behind the closed end, and adds its own doubt', () => {
    const usual = tipTopZero(tipTop, undefined, ring, ends);
    expect(usual.value).toBeCloseTo(0, 9);
    expect(usual.u).toBeGreaterThan(0.2);
    expect(tipTopZero({ ...tipTop, home: 2 }, undefined, ring, ends).value).toBeCloseTo(1.5, 9);
  });

  test('a datum on the tip-top has only the doubt of reading it', () => {
    expect(tipTopZero(tipTop, 'tip-top-ring', ring, ends)).toEqual(ring);
    expect(tipTopZero(tipTop, 'tube-end', ring, ends)).toEqual(ends.open);
  });
});
