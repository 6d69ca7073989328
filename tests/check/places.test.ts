import { describe, expect, test } from 'vitest';
import type { FittedMark } from '../../src/adjust/mark_fit.ts';
import type { MatSolution } from '../../src/adjust/mat_summary.ts';
import { handPlaces, isReplaced, withHandPlaces } from '../../src/check/hand_places.ts';
import { beginHalves, heldAgainstHalves } from '../../src/check/halves.ts';
import { oneHand } from '../../src/check/hands.ts';
import { matFlatness } from '../../src/check/mat_flatness.ts';
import { degrees, outlineBias } from '../../src/check/measuring.ts';
import { alongWithDoubt, ringPlace } from '../../src/check/place_doubt.ts';
import { markPlace, ringCentre, ringPlaces } from '../../src/check/places.ts';
import { type RollZero, rollZero } from '../../src/check/roll_zero.ts';
import { matTags, placedViews, reportPhotos, type TaggedView } from '../../src/check/tagged_views.ts';
import { axisPoint, crossSection } from '../../src/geometry/blank_axis.ts';
import { project } from '../../src/geometry/camera.ts';
import { addScaled } from '../../src/geometry/vector.ts';
import type { Plan } from '../../src/plan/plan.ts';
import type { Shoot } from '../../src/plan/shoot.ts';
import { measuring, ringAt } from '../world/measured_rod.ts';

const zero: RollZero = { reference: 'guides', notes: [] };
const { blank, mat, views } = measuring;
const plan = {
  positions: [
    { id: 'A', kind: 'guide', at: 200, guide: { ringOuter: 8, ringInner: 6, height: 12, lean: 0, foot: 'single' } },
    { id: 'S', kind: 'guide', at: 300, guide: { type: 'snake', length: 12 } },
    { id: 'M', kind: 'mark', at: 250 },
  ],
} as unknown as Plan;

describe('a place with all its doubt', () => {
  const point = axisPoint(blank.axis, 300);
  const place = alongWithDoubt({ value: 300, u: 0.05 }, point, [0, 1, 2, 3], { own: 0.3 }, measuring);

  test('adds scale, cameras, reading and tip in squares; the scale’s share is kept apart', () => {
    const { scale, geometry, reading, tip } = place.parts;
    expect(scale).toBeCloseTo(2e-4 * 300, 12);
    expect(place.apart).toBeCloseTo(Math.hypot(geometry, reading, tip), 12);
    expect(place.along.u).toBeCloseTo(Math.hypot(scale, place.apart), 12);
    expect(reading).toBeGreaterThanOrEqual(0.05);
    expect(tip).toBe(blank.tipSigma);
  });

  test('grows with what the rod slid by between its photos and the tip’s, as far as its photos beyond move it', () => {
    const from = 2;
    const slid = { ...measuring, slides: [{ from, along: { value: 4, u: 0.5 } }] };
    const [tip] = blank.tipPhotos;
    const other = tip! >= from ? [0, 1] : [2, 3];
    const readingOf = (photos: number[], own: number, of = slid) =>
      alongWithDoubt({ value: 300, u: 0.05 }, point, photos, { own }, of).parts.reading;
    expect(readingOf(other, 0.3)).toBeGreaterThan(0.5);
    const half = readingOf([0, 1, 2, 3], 0.3);
    expect(half).toBeGreaterThan(0.25);
    expect(half).toBeLessThan(0.3);
    // on the tip's own side nothing is added, and where the height is open a slide may be taken for one
    const [before, after] = [tip! >= from ? [2, 3] : [0, 1], other];
    expect(readingOf(before, 0.3)).toBeCloseTo(readingOf(before, 0.3, measuring as typeof slid), 12);
    const across = [before.at(0)!, after.at(-1)!];
    expect(Math.abs(readingOf(across, 5) - readingOf(across, 0.01))).toBeGreaterThan(0.02);
    // a tip that the photos beyond show moves with the places that they show
    const beyond = { ...slid, blank: { ...blank, tipPhotos: other } };
    expect(readingOf(other, 0.3, beyond)).toBeCloseTo(readingOf(other, 0.3, measuring as typeof slid), 3);
    expect(readingOf(before, 0.3, beyond)).toBeGreaterThan(0.5);
  });

  test('a ring’s roll is that of its centre, and worse known the nearer it stands to the axis', () => {
    const near = ringPlace(ringCentre(ringAt(300, 12, 8)), zero, measuring);
    const far = ringPlace(ringCentre(ringAt(300, 12, 24)), zero, measuring);
    expect(near.roll!.value).toBeCloseTo(12, 9);
    expect(near.roll!.u).toBeGreaterThan(far.roll!.u);
    expect(near.roll!.u).toBeGreaterThan(degrees(outlineBias / 8));
    expect(near.height!.value).toBeCloseTo(8 - crossSection(blank.axis, 300).radius, 9);
  });

  test('roll is counted from the reference, with its doubt; without one seen there is none', () => {
    const from: RollZero = { reference: 'spine-line', roll: { value: 5, u: 3 }, notes: [] };
    const { roll } = ringPlace(ringCentre(ringAt(300, 12, 12)), from, measuring);
    expect(roll!.value).toBeCloseTo(7, 9);
    expect(roll!.u).toBeGreaterThan(3);
    expect(
      ringPlace(ringCentre(ringAt(300, 12, 12)), { ...zero, reference: 'seat-card' }, measuring).roll,
    ).toBeUndefined();
  });
});

describe('what was found as places', () => {
  const mark = (along: number): FittedMark =>
    ({
      along: { value: along, u: 0.05 },
      centre: { value: along, u: 0.05 },
      width: { value: 1.4, u: 0.1 },
      colour: 'white',
      perHeight: 0.4,
      clutter: 0.05,
      coverage: 0.9,
      contrast: 30,
      covering: [1, 2],
      rolls: [-60, 60],
      sightings: [1, 2].map((view) => ({ view, tipEdge: along - 0.7, buttEdge: along + 0.7 })),
      views: [1, 2],
    }) as FittedMark;

  test('a ring has the mark seen beside it; one that no rim bears out is doubted', () => {
    const rings = [ringAt(200, 0, 14), { ...ringAt(400, 0, 14), edges: 0 }];
    const [near, far] = ringPlaces(plan, rings, [mark(201)], zero, measuring);
    expect(near!.mark!.value).toBe(201);
    expect(near!.typeDoubted).toBeUndefined();
    expect([far!.mark, far!.typeDoubted]).toEqual([undefined, true]);
    expect(near!.ringOuter!.value).toBe(8);
  });

  test('a mark is read no better than its height moves it', () => {
    const { along, parts, colour } = markPlace(mark(250), measuring);
    expect(along.value).toBe(250);
    expect(colour).toBe('white');
    const moved = markPlace({ ...mark(250), perHeight: 5 }, measuring);
    expect(moved.parts!.reading).toBeGreaterThan(parts!.reading);
  });
});

describe('places set by hand', () => {
  const shoot = (stage: Shoot['stage'], id: string, points: [number, number][], photo = '2.jpg') =>
    ({ stage, byHand: [{ id, photo, points }] }) as unknown as Shoot;
  const { camera } = views.list[1]!;
  const section = crossSection(blank.axis, 300);
  const onMark = project(camera, addScaled(section.point, section.up, section.radius))!;
  const rim = (along: number) => {
    const ring = ringAt(along, 10, 15);
    const { right, up } = crossSection(blank.axis, along);
    return [0, 1, 2, 3, 4, 5].map((k): [number, number] => {
      const turn = (k * Math.PI) / 3;
      const at = addScaled(addScaled(ring.centre, right, 4 * Math.cos(turn)), up, 4 * Math.sin(turn));
      const [x, y] = project(camera, at)!;
      return [x, y];
    });
  };

  test('a mark lies where it was pointed at', () => {
    const [{ place }] = handPlaces(plan, shoot('marks', 'M', [[onMark[0], onMark[1]]]), zero, measuring) as [
      ReturnType<typeof handPlaces>[0],
    ];
    expect(Math.abs(place.along.value - 300)).toBeLessThan(1);
    expect(place.byHand).toBe('M');
  });

  test('a ring is the circle through its points, of the planned size', () => {
    const [{ place, ring }] = handPlaces(plan, shoot('wrapped', 'A', rim(200)), zero, measuring) as [
      ReturnType<typeof handPlaces>[0],
    ];
    expect(ring!.ringOuter).toBe(8);
    expect(Math.abs(place.along.value - 200)).toBeLessThan(3 * place.along.u);
  });

  test.each<[string, Shoot, RegExp]>([
    ['an item the plan has not', shoot('marks', 'Q', [[1, 1]]), /the plan has no such item/],
    ['a guide without a ring', shoot('wrapped', 'S', rim(300)), /without a ring/],
    ['too few points', shoot('wrapped', 'A', rim(200).slice(0, 2)), /at least three/],
    ['a place off the blank', shoot('marks', 'M', [[onMark[0], onMark[1] + 2500]]), /nowhere on the blank/],
  ])('of %s is refused in one sentence', (_, wrong, message) => {
    expect(() => handPlaces(plan, wrong, zero, measuring)).toThrow(message);
  });

  test('stand for what was detected there, and for nothing farther off', () => {
    const byHand = handPlaces(plan, shoot('marks', 'M', [[onMark[0], onMark[1]]]), zero, measuring);
    const at = (value: number) => ({ along: { value, u: 0.1 } });
    const own = byHand[0]!.place.along.value;
    expect(isReplaced(own + 4.9, byHand)).toBe(true);
    const all = withHandPlaces([at(own - 3), at(own + 6)], byHand).map(({ along }) => along.value);
    expect(all).toEqual([own + 6, own]);
  });
});

describe('what roll is counted from', () => {
  const asked = (rollReference: Shoot['rollReference'], stage: Shoot['stage'] = 'wrapped') =>
    rollZero({ stage, rollReference } as Shoot, { ...measuring, views: { list: views.list.slice(0, 1), photo: [0] } });

  test('the rings themselves need nothing seen; marks have no roll to count', () => {
    expect(asked('guides')).toEqual({ reference: 'guides', notes: [] });
    expect(asked('seat-card', 'marks')).toEqual({ reference: 'seat-card', notes: [] });
  });

  test('a card that no photo shows is asked for', () => {
    const { roll, notes } = asked('seat-card');
    expect(roll).toBeUndefined();
    expect(notes.join()).toMatch(/seat card was not seen.*one more photo/);
  });

  test('a spine line that no photo shows is asked for', () => {
    expect(asked('spine-line').notes.join()).toMatch(/spine line was not found.*30 mm or longer/);
  });
});

describe('photos and mat in the report', () => {
  const view = (file: string, more: Partial<TaggedView> = {}): TaggedView => ({
    photo: { ...views.list[0]!.photo, file },
    reading: { tags: [], twice: [], foreign: [] },
    faults: [],
    ...more,
  });
  const tag = (id: number) =>
    ({
      id,
      corners: [
        [0, 0],
        [1, 0],
        [1, 1],
        [0, 1],
      ],
      sigma: 0,
    }) as unknown as TaggedView['reading']['tags'][0];

  test('each photo says what is wrong with it, and a repeated one nothing else', () => {
    const some = { tags: [tag(3)], twice: [], foreign: [] };
    const solved = {
      cameras: [undefined, mat.cameras[0], undefined],
      residuals: [0, 0.2, 0],
    } as unknown as MatSolution;
    const told = reportPhotos(
      [
        view('a.jpg'),
        view('b.jpg', { reading: { ...some, twice: [7], foreign: [585] }, faults: ['Too dark.'] }),
        view('c.jpg', { reading: some, repeats: { file: 'b.jpg', how: 'same-place' } }),
      ],
      solved,
    );
    expect(told[0]!.problems).toEqual([expect.stringMatching(/^No mat tags/)]);
    expect(told[1]!.problems).toEqual([
      expect.stringMatching(/^Tag 7 shows at two/),
      expect.stringMatching(/^Tag 585/),
      'Too dark.',
    ]);
    expect(told[2]!.problems).toEqual([expect.stringMatching(/same place as b\.jpg/)]);
    expect(told[1]!.residual).toBe(0.2);
    const [lonely] = reportPhotos([view('d.jpg', { reading: some })], solved);
    expect(lonely!.problems[0]).toMatch(/overlap by a page/);
    expect(matTags({ tags: [tag(3), tag(580)] }).map(({ id }) => id)).toEqual([3]);
  });

  test('views are the photos that were placed, and know which those are', () => {
    const solved = { cameras: [undefined, mat.cameras[0], mat.cameras[1]] } as unknown as MatSolution;
    const placed = placedViews([view('a.jpg'), view('b.jpg'), view('c.jpg')], solved);
    expect(placed.photo).toEqual([1, 2]);
    expect(placed.list.map(({ photo }) => photo.file)).toEqual(['b.jpg', 'c.jpg']);
  });

  test('a page that stands up is said, one that waves a little is not', () => {
    expect(matFlatness(mat)).toMatchObject({ notes: [] });
    const standing = {
      ...mat,
      tiles: mat.tiles.map((tile, i) =>
        i === 1 ? { ...tile, heights: tile.heights.map((h, k) => h + (k === 0 ? 6 : 0)) } : tile,
      ),
    };
    expect(matFlatness(standing).flatWithin).toBeGreaterThan(3);
    expect(matFlatness(standing).notes[0]).toMatch(/^Page 2 of the mat stands up by/);
  });
});

describe('a walk held against its halves', () => {
  const nothingToDo = () => {
    throw new Error('nothing is to be done');
  };
  const place = alongWithDoubt(
    { value: 300, u: 0.05 },
    axisPoint(blank.axis, 300),
    [0, 1, 2, 3],
    { own: 0.3 },
    measuring,
  );

  test('of fewer than four photos says nothing and leaves the places alone', async () => {
    const halves = beginHalves([], mat, { shoot: { mat: {} } as Shoot, known: {} }, oneHand(nothingToDo));
    const told = heldAgainstHalves([place], mat, await halves());
    expect(told).toEqual({ places: [place], notes: [] });
  });
});
