import { describe, expect, test } from 'vitest';
import { bandsClearOfRings, ringsDeny } from '../../src/check/slide.ts';
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
    expect(ringsDeny(slide(apart), views, axis, seen, guides)).toBe(true);
  });

  test('do not deny one that moved them too', () => {
    const moved = seen.map((strip) => ({
      ...strip,
      sightings: strip.sightings.map((one) => ({ ...one, along: one.along + (strip.view === 1 ? 2.5 : 0) })),
    }));
    expect(ringsDeny(slide(2.5), views, axis, moved, guides)).toBe(false);
  });

  test('have no word where only one side shows them', () => {
    const oneSided = seen.map((strip) => (strip.view === 1 ? { ...strip, sightings: [] } : strip));
    expect(ringsDeny(slide(apart), views, axis, oneSided, guides)).toBe(false);
  });
});
