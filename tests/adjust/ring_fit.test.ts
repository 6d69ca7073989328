import { describe, expect, test } from 'vitest';
import { fitRings, type FittedRing, type PlannedGuide } from '../../src/adjust/fit_rings.ts';
import { placeRing } from '../../src/adjust/ring_state.ts';
import type { BlankAxis } from '../../src/geometry/blank_axis.ts';
import type { Ring } from '../../src/geometry/ring.ts';
import type { RingGuide } from '../../src/plan/plan.ts';
import type { View } from '../../src/vision/strip.ts';
import { cameraLookingAt, type RingScene, takePhoto } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const RADIAN = Math.PI / 180;
const small: RingGuide = { ringOuter: 6, ringInner: 4.3, height: 7, lean: 0, foot: 'single' };
const large: RingGuide = { ringOuter: 12, ringInner: 8.8, height: 16, lean: 6, foot: 'double' };
const axis = straightAxis(240, 1.5, 3.5, 8);
const plan: PlannedGuide[] = [
  { id: 'A', at: 60, guide: small },
  { id: 'B', at: 140, guide: large },
];

function ringOn(guide: RingGuide, along: number, roll: number): Ring {
  const distance = 1.5 + (2 * along) / 240 + guide.height;
  const wall = (guide.ringOuter - guide.ringInner) / 2;
  return placeRing(axis, [
    along,
    distance * Math.sin(roll * RADIAN),
    distance * Math.cos(roll * RADIAN),
    guide.lean * RADIAN,
    0,
    guide.ringOuter / 2,
    guide.ringInner / 2,
    0.85 + 0.0375 * guide.ringOuter,
    Math.min(0.35, 0.4 * wall),
    0.85 + 0.0375 * guide.ringOuter,
  ]).ring;
}

const scene = (rings: Ring[], change: Partial<RingScene> = {}): RingScene => ({
  axis,
  rings,
  bands: [],
  paper: 215,
  blank: 50,
  ring: 70,
  ...change,
});

const size = { width: 960, height: 340 };
const eyes = [
  [60, 20, 330],
  [140, -90, 310],
  [190, 60, 340],
] as const;
/** The photos of a walk: from above, some from the side. */
const walk = (what: RingScene, seed: number): View[] =>
  eyes.map((eye, i) =>
    takePhoto(
      what,
      cameraLookingAt(eye, [115, 0, 12], 1200, size.width, size.height),
      size.width,
      size.height,
      3,
      seed + i,
    ),
  );

const look = (views: View[], onAxis: BlankAxis = axis) => fitRings(views, onAxis, plan, { from: 15, to: 230 });

/** Within three of the stated standard uncertainties, and those small enough to be of use. */
function expectAt(ring: FittedRing, truth: { along: number; roll: number; guide: RingGuide }): void {
  const [, , , , , right, both, , , , up] = ring.covariance as [number, ...number[]];
  const distance = Math.hypot(ring.right, ring.up);
  const [c, s] = [ring.up / distance, ring.right / distance];
  const u = {
    along: Math.sqrt(ring.covariance[0]!),
    roll: Math.sqrt(c * c * right! - 2 * c * s * both! + s * s * up!) / distance / RADIAN,
    height: Math.sqrt(s * s * right! + 2 * c * s * both! + c * c * up!),
    outer: Math.sqrt(ring.covariance[15]!),
  };
  expect(u.along).toBeLessThan(0.15);
  expect(u.roll).toBeLessThan(1.5);
  expect(Math.abs(ring.along - truth.along)).toBeLessThan(3 * u.along);
  expect(Math.abs(ring.roll - truth.roll)).toBeLessThan(3 * u.roll);
  expect(Math.abs(ring.height - truth.guide.height)).toBeLessThan(3 * u.height);
  expect(Math.abs(ring.ringOuter - truth.guide.ringOuter)).toBeLessThan(3 * u.outer);
}

describe('rings in made-up photos', () => {
  test('on a dark blank, off their planned places and rolled', { timeout: 120_000 }, () => {
    const rings = look(walk(scene([ringOn(small, 57.3, 4), ringOn(large, 148.6, -9)]), 11));
    expect(rings).toHaveLength(2);
    expectAt(rings[0]!, { along: 57.3, roll: 4, guide: small });
    expectAt(rings[1]!, { along: 148.6, roll: -9, guide: large });
  });

  test('light rings on a light blank, sizes changed over', { timeout: 120_000 }, () => {
    const rings = look(walk(scene([ringOn(large, 60, 0), ringOn(small, 140.5, 2)], { blank: 120, ring: 150 }), 21));
    expect(rings).toHaveLength(2);
    expectAt(rings[0]!, { along: 60, roll: 0, guide: large });
    expectAt(rings[1]!, { along: 140.5, roll: 2, guide: small });
  });

  test('an unplanned third ring is found, a missing one is not made up', { timeout: 120_000 }, () => {
    const rings = look(walk(scene([ringOn(small, 60, 0), ringOn(small, 100, 0), ringOn(small, 200, 0)]), 31));
    expect(rings.map((r) => Math.round(r.along))).toEqual([60, 100, 200]);
  });

  test('bands round the blank at the planned places are no rings', { timeout: 120_000 }, () => {
    const bands = [
      { from: 59, to: 61, grey: 220 },
      { from: 137, to: 143, grey: 180 },
      { from: 180, to: 181.5, grey: 220 },
    ];
    expect(look(walk(scene([], { bands }), 41))).toEqual([]);
  });
});

test('no photos or no guides: nothing to look for', () => {
  expect(fitRings([], axis, plan)).toEqual([]);
});
