import { describe, expect, test } from 'vitest';
import { bandsClearOfRings, ringsBearOut, ringsDeny } from '../../src/check/slide.ts';
import type { View } from '../../src/vision/strip.ts';
import type { MarkSighting } from '../../src/vision/mark_band.ts';
import { blankOnPaper, sightingsOf } from '../world/made_up_sightings.ts';
import { placeRing } from '../../src/adjust/ring_state.ts';
import { cameraLookingAt } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(400, 1.5, 3.5, 8);
const [width, height] = [1600, 600];
const views = ([100, 300] as const).map((x): View => {
  const camera = cameraLookingAt([x, 0, 400], [200, 0, 8], 1200, width, height);
  const plane = new Uint8Array(0);
  return { camera, photo: { file: '', width, height, luma: plane, blueDifference: plane, redDifference: plane } };
});
/** A ring high over the blank. */
const ring = placeRing(axis, {
  along: 200,
  right: 0,
  up: 24,
  lean: 0,
  yaw: 0,
  outer: 8,
  inner: 6,
  halfThickness: 1,
  rounding: 0.3,
  boreHalfThickness: 1,
}).ring;

const sightings = sightingsOf(views, axis, [ring], { place: 0, radius: 0 });
const seen = views.map((_, view) => ({
  view,
  covers: { from: 0, to: 400 },
  pixelsPerMm: 3,
  sightings: sightings.filter((one) => one.view === view),
  classes: blankOnPaper(axis, { from: 0, to: 400 }),
}));

const band = (view: number, at: number) => ({ view, tipEdge: at - 0.5, buttEdge: at + 0.5 }) as MarkSighting;

test('a band behind a ring is left out of the photo that shows the ring there, and of no other', () => {
  const [shownLeft, shownRight] = sightings.map(({ along }) => along) as [number, number];
  // From either side the ring shows several millimetres apart, as a rod that slid would.
  expect(Math.abs(shownLeft - shownRight)).toBeGreaterThan(8);
  const rims = [band(0, shownLeft - 7.5), band(1, shownRight - 7.5), band(0, shownLeft + 8), band(1, shownRight + 8)];
  // Its foot's tape, and bands elsewhere.
  const others = [band(0, 225), band(1, 225), band(0, 120), band(1, 120), band(0, 330), band(1, 330)];
  const clear = bandsClearOfRings({ sightings: [...rims, ...others], searched: [] }, views, seen);
  expect(clear.sightings).toEqual(others);
});

test('with no ring in view every band stays', () => {
  const bands = [band(0, 120), band(1, 121)];
  const bare = seen.map((strip) => ({ ...strip, sightings: [] }));
  expect(bandsClearOfRings({ sightings: bands, searched: [] }, views, bare).sightings).toEqual(bands);
});

describe('rings that photos on both sides of a slide show', () => {
  const guides = [
    { id: 'A', at: 200.5, guide: { ringOuter: 16, ringInner: 12, height: 21.6, lean: 0, foot: 'single' as const } },
  ];
  const slide = (value: number) => ({ from: 1, along: { value, u: 0.5 }, bands: 2, alone: 0 });
  const apart = sightings[1]!.along - sightings[0]!.along;

  test('deny one that their own parallax made up', () => {
    expect(ringsDeny(slide(apart), { views, axis, seen, guides })).toBe(true);
  });

  test('do not deny one that moved them too', () => {
    const moved = seen.map((strip) => ({
      ...strip,
      sightings: strip.sightings.map((one) => ({ ...one, along: one.along + (strip.view === 1 ? 2.5 : 0) })),
    }));
    expect(ringsDeny(slide(2.5), { views, axis, seen: moved, guides })).toBe(false);
  });

  test('have no word where only one side shows them', () => {
    const oneSided = seen.map((strip) => (strip.view === 1 ? { ...strip, sightings: [] } : strip));
    expect(ringsDeny(slide(apart), { views, axis, seen: oneSided, guides })).toBe(false);
  });
});

describe('rings bear out a slide that few bands tell', () => {
  const guideAt = (at: number) => ({
    id: `at ${at}`,
    at,
    guide: { ringOuter: 6, ringInner: 4, height: 6, lean: 0, foot: 'single' as const },
  });
  // The walk's later photo stands close by the earlier one: low rings show alike in both.
  const near = ([190, 205] as const).map((x): View => {
    const camera = cameraLookingAt([x, 0, 400], [200, 0, 8], 1200, width, height);
    return { ...views[0]!, camera };
  });
  const places = [170, 230];
  /** The two rings, so high over the axis, as views see them. */
  const shownAt = (list: readonly View[], up: number) => {
    const shape = { outer: 3, inner: 2, halfThickness: 0.5, rounding: 0.2, boreHalfThickness: 0.5 };
    const rings = places.map((along) => placeRing(axis, { along, right: 0, up, lean: 0, yaw: 0, ...shape }).ring);
    return sightingsOf(list, axis, rings, { place: 0, radius: 0 });
  };
  const shown = shownAt(near, 8.5);
  const ringsOf = (slid: readonly number[], list = near) => ({
    views: list,
    axis,
    guides: places.map(guideAt),
    seen: list.map((_, view) => ({
      ...seen[view]!,
      sightings: shown
        .filter((one) => one.view === view)
        .map((one, i) => ({ ...one, along: one.along + (view === 1 ? slid[i]! : 0) })),
    })),
  });
  const hint = { from: 1, along: { value: 2.2, u: 0.2 }, bands: 2, alone: 7, chance: 0.2 };

  test('where two of them moved with it', () => {
    expect(ringsBearOut(hint, ringsOf([2.2, 2.1]))).toBe(true);
  });

  test('not where they stand, moved another way, or one of them alone moved', () => {
    for (const slid of [
      [0, 0],
      [-2.2, -2.2],
      [2.2, 0],
    ])
      expect(ringsBearOut(hint, ringsOf(slid))).toBe(false);
  });

  test('not where one ring is all that both sides show', () => {
    const rings = ringsOf([2.2, 2.2]);
    const one = { ...rings, guides: rings.guides.slice(0, 1) };
    expect(ringsBearOut({ ...hint, chance: 0.01 }, one)).toBe(false);
  });

  test('not where their parallax may be what moved them, the plan having all heights wrong', () => {
    const tall = places.map((along) => ({
      ...guideAt(along),
      guide: { ...guideAt(along).guide, height: 21.6 },
    }));
    const shownTall = shownAt(views, 24);
    const wrongPlan = tall.map(({ guide, ...one }) => ({ ...one, guide: { ...guide, height: 18 } }));
    const strips = views.map((_, view) => ({
      ...seen[view]!,
      sightings: shownTall.filter((one) => one.view === view),
    }));
    for (const value of [2, 3, 4, -2, -3, -4])
      expect(
        ringsBearOut({ ...hint, along: { value, u: 0.2 } }, { views, axis, guides: wrongPlan, seen: strips }),
        `${value} mm`,
      ).toBe(false);
  });
});
