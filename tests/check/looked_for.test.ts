import { describe, expect, test } from 'vitest';
import { findGuides, lookingAlong, refuseWithoutGuides, ringGuides } from '../../src/check/find_guides.ts';
import { oneHand } from '../../src/check/hands.ts';
import { piecesBy } from '../../src/check/pieces.ts';
import { findSnakes, snakePlaces } from '../../src/check/find_snakes.ts';
import { countedFrom, findTipTop } from '../../src/check/find_tip_top.ts';
import { placeRing, plannedRing } from '../../src/adjust/ring_state.ts';
import type { Finder } from '../../src/vision/finder/finder.ts';
import { InputError } from '../../src/plan/input_error.ts';
import type { Plan, RingGuide } from '../../src/plan/plan.ts';
import type { Shoot } from '../../src/plan/shoot.ts';
import type { View } from '../../src/vision/strip.ts';
import { seenBy, sightingsOf } from '../world/made_up_sightings.ts';
import { measuring, ringAt } from '../world/measured_rod.ts';
import { cameraLookingAt, takePhoto } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(160, 1.5, 3, 8);
const guide: RingGuide = { ringOuter: 7, ringInner: 5, height: 8, lean: 0, foot: 'single' };
const size = { width: 420, height: 220 };
const ringAlong = (along: number) =>
  placeRing(axis, { ...plannedRing(guide).shape.mean, along, right: 0, up: 9.5 + along / 107 }).ring;
const scene = { axis, rings: [ringAlong(3)], bands: [], paper: 215, blank: 50, ring: 70 };
const views = (
  [
    [30, 20, 290],
    [70, -60, 280],
  ] as const
).map(
  (eye, i): View => takePhoto(scene, cameraLookingAt(eye, [50, 0, 10], 1000, size.width, size.height), size, 2, i + 1),
);
const plan = {
  blank: { length: 160 },
  positions: [
    { id: 'A', kind: 'guide', at: 60, guide },
    { id: 'S', kind: 'guide', at: 100, guide: { type: 'snake', length: 12 } },
    { id: 'M', kind: 'mark', at: 120 },
  ],
} as unknown as Plan;

describe('guides', () => {
  test('a shoot of guides with none planned is refused; one of marks is not', () => {
    const none = { positions: [] } as unknown as Plan;
    expect(() => refuseWithoutGuides(none, { stage: 'wrapped' } as Shoot)).toThrow(InputError);
    expect(() => refuseWithoutGuides(none, { stage: 'marks' } as Shoot)).not.toThrow();
    expect(() => refuseWithoutGuides(plan, { stage: 'rings' } as unknown as Shoot)).not.toThrow();
  });

  test('with a ring are counted from the end that lies on the mat', () => {
    expect(ringGuides(plan, 12)).toEqual([{ id: 'A', at: 48, guide }]);
  });

  test('of a marks shoot are not looked for', async () => {
    const looked = {
      views,
      axis,
      grip: undefined,
      start: 0,
      seen: seenBy(views, axis, sightingsOf(views, axis, scene.rings)),
      tipTop: undefined,
    };
    const none = oneHand(() => {
      throw new Error('nothing is to be done');
    });
    expect(await findGuides(plan, { stage: 'marks' } as Shoot, looked, none)).toEqual({ rings: [], snakes: [] });
  });

  test('each photo is looked along once, and how far that got is told', async () => {
    const looked: number[] = [];
    let runs = 0;
    const run = (_: Float32Array, width: number, rows: number) => {
      runs++;
      return new Float32Array((22 * width * rows) / 16).fill(-9);
    };
    const network = { run };
    const finder = { strip: network, lane: network } as unknown as Finder;
    const look = lookingAlong(oneHand(piecesBy(finder)), plan);
    const seen = await look(views, axis, (done) => void looked.push(done));
    expect(looked).toEqual([0, 0.5]);
    expect(seen.map(({ view, sightings }) => [view, sightings.length])).toEqual([
      [0, 0],
      [1, 0],
    ]);
    expect(await look(views, axis)).toEqual(seen);
    expect(runs).toBe(2);
    // another photo, or another axis, is looked at anew
    const [first, second] = views;
    expect(await look([first!, { ...second!, photo: { ...second!.photo } }], axis)).toEqual(seen);
    expect(runs).toBe(3);
    expect(await look(views, { ...axis })).toEqual(seen);
    expect(runs).toBe(5);
  });
});

describe('the tip-top', () => {
  const tipTop = { ringOuter: 7, ringInner: 5, tubeLength: 7, tubeInner: 3.2 };
  const seenOf = (along: number, score = 0.9) => {
    const ring = ringAlong(along);
    return seenBy(
      views,
      axis,
      sightingsOf(views, axis, [ring], { score, place: 0.1 }).map((one) => ({ ...one, kind: 'tip-top' as const })),
    );
  };

  test('is the ring at the blank’s end', () => {
    const { ring } = findTipTop(views, axis, seenOf(3), tipTop);
    expect(Math.abs(ring.along - 3)).toBeLessThan(1);
  });

  test('that no photo shows there is asked for in one sentence: every distance hangs on it', () => {
    expect(() => findTipTop(views, axis, seenOf(60), tipTop)).toThrow(/tip-top could not be made out.*one more photo/);
    expect(() => findTipTop(views, axis, [], tipTop)).toThrow(InputError);
  });

  test('moves where distances begin, with its doubt; without one they begin at the blank’s end', () => {
    const bare = countedFrom(plan, measuring.blank, undefined, views);
    expect(bare).toEqual({ blank: measuring.blank, start: 0 });
    const ends = { closed: { value: -0.5, u: 0.2 }, open: { value: 6.5, u: 0.2 }, views: [0] };
    const found = { ring: { ...ringAt(-1.6, 0, 4), views: [1] }, ends } as unknown as Parameters<typeof countedFrom>[2];
    const byRing = { ...plan, tipTop, datum: 'tip-top-ring' } as unknown as Plan;
    const counted = countedFrom(byRing, measuring.blank, found, views);
    expect(counted.start).not.toBe(0);
    // a photo from aside shows it farther along where the blank lies higher than it is taken to
    const { step, side, height } = measuring.blank.axisSigma;
    const high = { ...measuring.blank, axisSigma: { step, side, height: height.map(() => 2) } };
    expect(countedFrom(byRing, high, found, views).blank.tipSigma).toBeGreaterThan(counted.blank.tipSigma + 0.1);
  });
});

describe('snake guides', () => {
  const sighted = (along: number, kind: 'snake' | 'ring', score = 0.9) =>
    sightingsOf(views, axis, [ringAlong(along)], { score, place: 0.1, radius: 0.02 }).map((one) => ({ ...one, kind }));
  const range = { from: 10, to: 150 };

  test('are found where photos see an arch, and drawn over the blank', () => {
    const { snakes } = findSnakes(views, axis, seenBy(views, axis, sighted(80, 'snake')), [], range);
    expect(snakes).toHaveLength(1);
    expect(Math.abs(snakes[0]!.along - 80)).toBeLessThan(1.5);
    expect(snakes[0]!.typeDoubted).toBe(false);
    expect(snakes[0]!.rims[0]!.polylines[0]!.length).toBeGreaterThan(20);
  });

  test('beyond what is taken for the grip count where the photos show bare blank there from near by', async () => {
    const grip = 45;
    const beyond = async (things?: Parameters<typeof seenBy>[3]) => {
      const seen = seenBy(views, axis, sighted(92, 'snake'), things);
      const looked = { views, axis, grip, start: 0, seen, tipTop: undefined };
      return (await findGuides(plan, { stage: 'rings' } as Shoot, looked, oneHand(piecesBy({} as Finder)))).snakes;
    };
    expect(await beyond()).toHaveLength(1);
    expect(await beyond([{ name: 'grip', along: grip + 20, across: 0, half: 20 }])).toEqual([]);
    expect(await beyond([{ view: 1, name: 'grip', along: grip + 20, across: 0, half: 20 }])).toEqual([]);
  });

  test('outside of what is looked at, or hardly sure, are none', () => {
    expect(
      findSnakes(views, axis, seenBy(views, axis, sighted(80, 'snake')), [], { from: 100, to: 150 }).snakes,
    ).toEqual([]);
    expect(findSnakes(views, axis, seenBy(views, axis, sighted(80, 'snake', 0.16)), [], range).snakes).toEqual([]);
  });

  test('seen by one photo alone may be guides with a ring, and their place is doubted by as much', () => {
    const [one] = findSnakes(
      views,
      axis,
      seenBy(views, axis, sighted(80, 'snake', 0.99).slice(0, 1)),
      [],
      range,
    ).snakes;
    expect(one?.typeDoubted).toBe(true);
    const [both] = findSnakes(views, axis, seenBy(views, axis, sighted(80, 'snake')), [], range).snakes;
    const told = [both!, { ...both!, typeDoubted: true }].map(
      (snake) =>
        snakePlaces(
          [{ ...snake, along: 300, candidate: { ...snake.candidate, along: 300 }, views: [1, 2] }],
          { reference: 'guides', notes: [] },
          measuring,
        )[0]!,
    );
    expect(told[1]!.along.u).toBeGreaterThan(told[0]!.along.u);
    expect(told.map(({ type, typeDoubted }) => [type, typeDoubted])).toEqual([
      ['snake', undefined],
      ['snake', true],
    ]);
    expect(told[0]!.height).toBeUndefined();
  });
});
