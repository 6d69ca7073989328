import { describe, expect, test } from 'vitest';
import { joinSightings } from '../../src/adjust/join_sightings.ts';
import type { RingCandidate } from '../../src/adjust/ring_candidate.ts';
import { placeRing, ringPlaceNames } from '../../src/adjust/ring_state.ts';
import { sigmaOf } from '../../src/numerics/covariance.ts';
import type { Ring } from '../../src/geometry/ring.ts';
import type { Photo } from '../../src/photo/photo.ts';
import type { RingSighting } from '../../src/vision/finder/sighting.ts';
import { stripPlace } from '../../src/vision/finder/strip_place.ts';
import type { View } from '../../src/vision/strip.ts';
import { sightingsOf } from '../world/made_up_sightings.ts';
import { cameraLookingAt } from '../world/ring_scene.ts';
import { seededUniform } from '../world/seeded_random.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(1400, 1, 7, 9);
const photo = { file: 'made-up', width: 4032, height: 3024 } as Photo;

/** A walk of photos from about half a metre up, each a step farther along and tilted a little its own way. */
function walk(count: number, random: () => number = () => 0.5): View[] {
  return Array.from({ length: count }, (_, i) => {
    const x = 150 + (1100 * i) / Math.max(count - 1, 1);
    const eye = [x + 120 * (random() - 0.5), 260 * (random() - 0.5), 520 + 80 * random()] as const;
    return { photo, camera: cameraLookingAt(eye, [x, 0, 10], 3000, photo.width, photo.height) };
  });
}

function ringAt(along: number, outer: number, height: number, roll = 0): Ring {
  const distance = 1 + (6 * along) / 1400 + height;
  const angle = (roll * Math.PI) / 180;
  const half = 1 + 0.07 * outer;
  return placeRing(axis, {
    along,
    right: distance * Math.sin(angle),
    up: distance * Math.cos(angle),
    lean: 0,
    yaw: 0,
    outer,
    inner: 0.72 * outer,
    halfThickness: half,
    rounding: 0.3,
    boreHalfThickness: half,
  }).ring;
}

function shuffled<T>(list: readonly T[], random: () => number): T[] {
  return list
    .map((value) => ({ value, key: random() }))
    .sort((a, b) => a.key - b.key)
    .map(({ value }) => value);
}

const places = (joined: readonly RingCandidate[]) => joined.map((c) => [c.along, c.right, c.up, c.outer, c.weight]);
/** Candidates that a whole sighting speaks for. */
const likely = (joined: readonly RingCandidate[]) => joined.filter((c) => c.weight > 0);

/** A rod's worth of guides: small and close together at the tip, large and high at the butt. */
function guidesOf(random: () => number) {
  return [120, 215, 330, 470, 640, 850, 1110].map((along, i) => {
    const outer = [2.75, 2.75, 3, 3.5, 5, 8, 12.5][i]!;
    return ringAt(along + 20 * random(), outer, outer * (1.5 + 1.1 * random()), 10 * (random() - 0.5));
  });
}

test.each([1, 2, 3, 4, 5, 6, 7, 8])('rings of a made-up rod join, each once and in its place (rod %i)', (seed) => {
  const random = seededUniform(seed);
  const views = walk(5, random);
  const rings = guidesOf(random);
  const sightings = sightingsOf(views, axis, rings, { seed });
  const joined = likely(joinSightings(views, axis, sightings));
  expect(joined).toHaveLength(rings.length);
  for (const [i, candidate] of joined.entries()) {
    const ring = rings[i]!;
    const seen = sightings.filter((s) => Math.abs(s.along - ring.centre[0]) < 60 && candidate.sightings.includes(s));
    expect(new Set(seen.map((s) => s.view)).size).toBe(candidate.sightings.length);
    const truth = { along: ring.centre[0], right: ring.centre[1], up: ring.centre[2] - 9 };
    for (const name of ringPlaceNames)
      expect(Math.abs(candidate[name] - truth[name])).toBeLessThan(4 * sigmaOf(candidate.covariance, name));
    expect(Math.abs(candidate.outer / ring.outer - 1)).toBeLessThan(0.2);
  }
});

test('with two photos or more that see it from apart, a height comes from the photos, not from what is usual', () => {
  const views = walk(6);
  for (const height of [1.2, 2, 3.1]) {
    const ring = ringAt(590, 5, 5 * height);
    const [candidate] = joinSightings(views, axis, sightingsOf(views, axis, [ring], { place: 0 }));
    expect(candidate!.sightings.length).toBeGreaterThan(1);
    expect(Math.abs(candidate!.up - (ring.centre[2] - 9))).toBeLessThan(1.2);
  }
});

test('the order of sightings does not matter, nor that of photos', () => {
  const random = seededUniform(20);
  const views = walk(5, random);
  const sightings = [...sightingsOf(views, axis, guidesOf(random), { seed: 20 }), ...falseOnes(views, random, 8)];
  const expected = joinSightings(views, axis, sightings);
  for (let i = 0; i < 5; i++)
    expect(places(joinSightings(views, axis, shuffled(sightings, random)))).toEqual(places(expected));
  const order = shuffled([0, 1, 2, 3, 4], random);
  const turned = joinSightings(
    order.map((i) => views[i]!),
    axis,
    sightings.map((s) => ({ ...s, view: order.indexOf(s.view) })),
  );
  for (const [i, row] of places(turned).entries())
    for (const [k, value] of row.entries()) expect(value).toBeCloseTo(places(expected)[i]![k]!, 3);
});

test('every sighting is in one ring at most, every ring has one sighting a photo at most', () => {
  for (let seed = 30; seed < 36; seed++) {
    const random = seededUniform(seed);
    const views = walk(4, random);
    const sightings = [...sightingsOf(views, axis, guidesOf(random), { seed }), ...falseOnes(views, random, 20)];
    const joined = joinSightings(views, axis, sightings);
    const used = joined.flatMap((c) => c.sightings);
    expect(new Set(used).size).toBe(used.length);
    for (const { sightings: own } of joined) expect(new Set(own.map((s) => s.view)).size).toBe(own.length);
  }
});

test('any subset of the photos gives the rings that it shows, in the same places', () => {
  const random = seededUniform(40);
  const views = walk(5, random);
  const rings = guidesOf(random);
  const sightings = sightingsOf(views, axis, rings, { seed: 40 });
  for (let mask = 1; mask < 32; mask++) {
    const subset = sightings.filter((s) => mask & (1 << s.view));
    const seen = rings.filter((ring) => subset.some((s) => sees(views[s.view]!, ring, s)));
    const joined = likely(joinSightings(views, axis, subset));
    expect(joined).toHaveLength(seen.length);
    for (const [i, ring] of seen.entries()) {
      const u = sigmaOf(joined[i]!.covariance, 'along');
      expect(Math.abs(joined[i]!.along - ring.centre[0])).toBeLessThan(4 * u);
    }
  }
});

const sees = (view: View, ring: Ring, s: RingSighting): boolean =>
  Math.abs((stripPlace(view.camera, axis, ring.centre, ring.centre[0])?.along ?? 1e9) - s.along) < 2.5;

/** Sightings of nothing: places that no two photos agree on. */
function falseOnes(views: readonly View[], random: () => number, count: number): RingSighting[] {
  return Array.from({ length: count }, (_, i) => ({
    view: Math.floor(random() * views.length),
    kind: 'ring' as const,
    score: 0.4,
    along: 60 + 1250 * random(),
    across: 40 * (random() - 0.5),
    pixel: [100 + i, 100] as const,
    radius: 2.5 + 8 * random(),
    footToward: { tip: 0.5, butt: 0.5 },
  }));
}

describe('false sightings', () => {
  test('do not join a ring, nor move one', () => {
    for (let seed = 50; seed < 56; seed++) {
      const random = seededUniform(seed);
      const views = walk(5, random);
      const rings = guidesOf(random);
      const own = sightingsOf(views, axis, rings, { seed });
      // beside every ring, in one photo, something 5 to 15 mm away
      const strays = own
        .filter((_, i) => i % 3 === 0)
        .map((s) => ({ ...s, score: 0.5, along: s.along + (5 + 10 * random()) * (random() < 0.5 ? -1 : 1) }));
      const clean = joinSightings(views, axis, own);
      const joined = joinSightings(views, axis, [...own, ...strays]);
      const same = joined.filter((c) => c.sightings.every((s) => own.includes(s)) && c.sightings.length > 0);
      expect(places(same)).toEqual(places(clean));
    }
  });

  test('a shadow on the paper, where two photos agree on it, is no ring: it lies in the paper', () => {
    const views = walk(6);
    const shadow = { ...ringAt(600, 5, 10), centre: [600, 14, 0] as const };
    const joined = joinSightings(views, axis, sightingsOf(views, axis, [shadow], { place: 0.1 }));
    expect(joined.filter((c) => c.sightings.length > 1)).toEqual([]);
  });
});

test.each([6, 8, 12])('two rings %i mm apart stay two', (apart) => {
  for (let seed = 60; seed < 66; seed++) {
    const views = walk(6, seededUniform(seed));
    const rings = [ringAt(600, 3, 6.5), ringAt(600 + apart, 3, 6.5)];
    const joined = likely(joinSightings(views, axis, sightingsOf(views, axis, rings, { seed, place: 0.25 })));
    expect(joined).toHaveLength(2);
    expect(Math.abs(joined[0]!.along - 600)).toBeLessThan(1.5);
    expect(Math.abs(joined[1]!.along - 600 - apart)).toBeLessThan(1.5);
  }
});

test('no sightings, no rings', () => {
  expect(joinSightings(walk(3), axis, [])).toEqual([]);
});

test.each([
  { kind: 'snake', along: 330, radius: 8, height: 2.6 },
  { kind: 'tip-top', along: -1.2, radius: 2.5, height: 2.1 },
] as const)(
  'a $kind stands lower than a ring of its size: one photo alone puts it in place',
  ({ kind, along, radius, height }) => {
    const views = [{ photo, camera: cameraLookingAt([along + 260, 40, 1100], [along + 200, 0, 10], 3000, 4032, 3024) }];
    const ring = ringAt(along, radius, height, 6);
    const sightings = sightingsOf(views, axis, [ring], { place: 0 }).map((s) => ({ ...s, kind }));
    const [candidate] = joinSightings(views, axis, sightings);
    expect(Math.abs(candidate!.along - along)).toBeLessThan(0.3);
    expect(Math.abs(candidate!.right - ring.centre[1])).toBeLessThan(0.3);
  },
);

describe('a long walk', () => {
  /** The axis, and how often it was looked at: a measure of the work that no other program on the machine changes. */
  function counted() {
    const looks = { count: 0 };
    const points = new Proxy(axis.points, {
      get(list, name, receiver) {
        looks.count++;
        return Reflect.get(list, name, receiver) as unknown;
      },
    });
    return { looks, axis: { ...axis, points } };
  }
  /** From nearer by than the walks above: a ring shows in a quarter of the photos. */
  const closeWalk = (count: number, random: () => number): View[] =>
    Array.from({ length: count }, (_, i) => {
      const x = 60 + (1280 * i) / (count - 1);
      const eye = [x + 100 * (random() - 0.5), 200 * (random() - 0.5), 300 + 40 * random()] as const;
      return { photo, camera: cameraLookingAt(eye, [x, 0, 10], 3600, photo.width, photo.height) };
    });
  /** Worked out once for each number of photos. */
  const known = new Map<number, ReturnType<typeof join>>();
  const joinedOf = (count: number) => {
    const joined = known.get(count) ?? join(count);
    known.set(count, joined);
    return joined;
  };
  function join(count: number) {
    const random = seededUniform(70);
    const views = closeWalk(count, random);
    const rings = guidesOf(random);
    const own = sightingsOf(views, axis, rings, { seed: 70 });
    const strays = own.filter((_, i) => i % 10 === 0).map((s) => ({ ...s, score: 0.5, along: s.along + 12 }));
    const { looks, axis: looked } = counted();
    const joined = joinSightings(views, looked, [...own, ...strays]);
    return { rings, own, joined, looks: looks.count };
  }

  test('has each ring once, with nearly all the photos that show it, in its place', () => {
    const { rings, own, joined } = joinedOf(120);
    for (const ring of rings) {
      const near = joined.filter((c) => Math.abs(c.along - ring.centre[0]) < 3);
      const most = near.toSorted((a, b) => b.weight - a.weight)[0]!;
      const shown = own.filter((s) => sightingsNear(s, ring)).length;
      expect(shown).toBeGreaterThan(20);
      expect(most.sightings.length).toBeGreaterThan(0.9 * shown);
      expect(most.sightings.filter((s) => !own.includes(s))).toEqual([]);
      expect(Math.abs(most.along - ring.centre[0])).toBeLessThan(4 * sigmaOf(most.covariance, 'along'));
      // what is left over there stays light
      for (const other of near) if (other !== most) expect(other.weight).toBeLessThan(most.weight / 5);
    }
    const used = joined.flatMap((c) => c.sightings);
    expect(new Set(used).size).toBe(used.length);
  });

  test('takes work in line with its photos', () => {
    const [once, twice] = [joinedOf(60).looks, joinedOf(120).looks];
    expect(twice / once).toBeLessThan(3);
  });

  const sightingsNear = (s: RingSighting, ring: Ring) => Math.abs(s.along - ring.centre[0]) < 45;
});
