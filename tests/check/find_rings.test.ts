import { describe, expect, test } from 'vitest';
import type { FittedRing } from '../../src/adjust/fitted_ring.ts';
import { oneHand } from '../../src/check/hands.ts';
import { piecesBy } from '../../src/check/pieces.ts';
import type { Finder } from '../../src/vision/finder/finder.ts';
import { findRings, type PlannedGuide } from '../../src/check/find_rings.ts';
import { placeRing } from '../../src/adjust/ring_state.ts';
import { sigmaOf } from '../../src/numerics/covariance.ts';
import type { Ring } from '../../src/geometry/ring.ts';
import type { RingGuide } from '../../src/plan/plan.ts';
import type { RingSighting } from '../../src/vision/finder/sighting.ts';
import { stripPlace } from '../../src/vision/finder/strip_place.ts';
import type { View } from '../../src/vision/strip.ts';
import { seenBy, sightingsOf } from '../world/made_up_sightings.ts';
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
  return placeRing(axis, {
    along,
    right: distance * Math.sin(roll * RADIAN),
    up: distance * Math.cos(roll * RADIAN),
    lean: guide.lean * RADIAN,
    yaw: 0,
    outer: guide.ringOuter / 2,
    inner: guide.ringInner / 2,
    halfThickness: 0.85 + 0.0375 * guide.ringOuter,
    rounding: Math.min(0.35, 0.4 * wall),
    boreHalfThickness: 0.85 + 0.0375 * guide.ringOuter,
  }).ring;
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
    takePhoto(what, cameraLookingAt(eye, [115, 0, 12], 1200, size.width, size.height), size, 3, seed + i),
  );

/** Rings are measured by no finder. */
const hands = oneHand(piecesBy({} as Finder));

const look = (views: View[], rings: readonly Ring[], extra: readonly RingSighting[] = []) =>
  findRings(views, axis, seenBy(views, axis, [...sightingsOf(views, axis, rings), ...extra]), plan, {
    from: 15,
    to: 230,
    blankLength: 240,
    hands,
  });

/** Within three of the stated standard uncertainties, and those small enough to be of use. */
function expectAt(ring: FittedRing, truth: { along: number; roll: number; guide: RingGuide }): void {
  const { right, up } = ring.covariance;
  const distance = Math.hypot(ring.right, ring.up);
  const [c, s] = [ring.up / distance, ring.right / distance];
  const u = {
    along: sigmaOf(ring.covariance, 'along'),
    roll: Math.sqrt(c * c * right.right - 2 * c * s * right.up + s * s * up.up) / distance / RADIAN,
    height: Math.sqrt(s * s * right.right + 2 * c * s * right.up + c * c * up.up),
    outer: sigmaOf(ring.covariance, 'ringOuter'),
  };
  expect(u.along).toBeLessThan(0.15);
  expect(u.roll).toBeLessThan(1.5);
  expect(Math.abs(ring.along - truth.along)).toBeLessThan(3 * u.along);
  expect(Math.abs(ring.roll - truth.roll)).toBeLessThan(3 * u.roll);
  expect(Math.abs(ring.height - truth.guide.height)).toBeLessThan(3 * u.height);
  expect(Math.abs(ring.ringOuter - truth.guide.ringOuter)).toBeLessThan(3 * u.outer);
}

describe('rings in made-up photos, from what a finder sees of them', () => {
  test('on a dark blank, off their planned places and rolled', { timeout: 120_000 }, async () => {
    const there = [ringOn(small, 57.3, 4), ringOn(large, 148.6, -9)];
    const { rings } = await look(walk(scene(there), 11), there);
    expect(rings).toHaveLength(2);
    expectAt(rings[0]!, { along: 57.3, roll: 4, guide: small });
    expectAt(rings[1]!, { along: 148.6, roll: -9, guide: large });
  });

  test('light rings on a light blank, sizes changed over', { timeout: 120_000 }, async () => {
    const there = [ringOn(large, 60, 0), ringOn(small, 140.5, 2)];
    const { rings } = await look(walk(scene(there, { blank: 120, ring: 150 }), 21), there);
    expect(rings).toHaveLength(2);
    expectAt(rings[0]!, { along: 60, roll: 0, guide: large });
    expectAt(rings[1]!, { along: 140.5, roll: 2, guide: small });
  });

  test('an unplanned third ring of a planned make is found like the others', { timeout: 120_000 }, async () => {
    const there = [ringOn(small, 60, 0), ringOn(small, 100, 0), ringOn(small, 200, 0)];
    const { rings } = await look(walk(scene(there), 31), there);
    expect(rings.map((r) => Math.round(r.along))).toEqual([60, 100, 200]);
  });

  test('a ring of no planned make is measured with its size left free', { timeout: 120_000 }, async () => {
    const other: RingGuide = { ringOuter: 9, ringInner: 6.5, height: 12, lean: 2, foot: 'single' };
    const { rings } = await look(walk(scene([ringOn(other, 140, 0)]), 51), [ringOn(other, 140, 0)]);
    expect(rings).toHaveLength(1);
    expect(Math.abs(rings[0]!.along - 140)).toBeLessThan(0.2);
    expect(Math.abs(rings[0]!.ringOuter - 9)).toBeLessThan(0.6);
  });

  test('a size that the sightings only roughly tell is read from the rims', { timeout: 120_000 }, async () => {
    const there = [ringOn(large, 140, 3)];
    const views = walk(scene(there), 61);
    const rough = sightingsOf(views, axis, there, { radius: 0.15, place: 0.6, seed: 8 });
    const range = { from: 15, to: 230, blankLength: 240, hands };
    const [ring] = (await findRings(views, axis, seenBy(views, axis, rough), plan, range)).rings;
    expectAt(ring!, { along: 140, roll: 3, guide: large });
  });
});

describe('what only seems a ring', () => {
  const bare = walk(scene([]), 41);
  const seeming = (view: number, score: number): RingSighting[] =>
    sightingsOf(bare, axis, [ringOn(small, 100, 0)], { place: 0, score }).filter((s) => s.view === view);

  test('one photo takes something for a ring, two show bare blank there: doubtful, not claimed', async () => {
    const { rings, doubtful } = await look(bare, [], seeming(1, 0.8));
    expect(rings).toEqual([]);
    expect(doubtful).toHaveLength(1);
  });

  test('the same where the other photos show a ring’s own metal there: claimed', async () => {
    const there = stripPlace(bare[0]!.camera, axis, ringOn(small, 100, 0).centre, 100)!;
    const other = stripPlace(bare[2]!.camera, axis, ringOn(small, 100, 0).centre, 100)!;
    const metal = [
      { view: 0, name: 'ring', ...there, half: 2 },
      { view: 2, name: 'frame', ...other, half: 2 },
    ] as const;
    const seen = seenBy(bare, axis, seeming(1, 0.8), metal);
    const range = { from: 15, to: 230, blankLength: 240, hands };
    expect((await findRings(bare, axis, seen, plan, range)).doubtful).toEqual([]);
  });

  test('what stands where no plan has a guide is claimed as readily as where it has one', async () => {
    const nowhere = [{ id: 'A', at: 220, guide: small }];
    const seen = seenBy(bare, axis, sightingsOf(bare, axis, [ringOn(small, 100, 0)], { score: 0.6 }));
    const range = { from: 15, to: 230, blankLength: 240, hands };
    const places = async (guides: typeof plan) => (await findRings(bare, axis, seen, guides, range)).rings.length;
    expect(await places(nowhere)).toBe(await places([{ id: 'A', at: 100, guide: small }]));
  });

  test('no sightings: nothing', async () => {
    expect(await look(bare, [])).toEqual({ rings: [], doubtful: [] });
  });
});
