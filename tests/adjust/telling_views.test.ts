import { expect, test } from 'vitest';
import type { RingCandidate } from '../../src/adjust/ring_candidate.ts';
import { mostTelling, tellingViews } from '../../src/adjust/telling_views.ts';
import type { Photo } from '../../src/photo/photo.ts';
import type { RingSighting } from '../../src/vision/finder/sighting.ts';
import type { View } from '../../src/vision/strip.ts';
import { cameraLookingAt } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(1400, 1, 7, 9);
const photo = { file: 'made-up', width: 4032, height: 3024 } as Photo;

/** A photo of the place 600 mm from the tip, from so far along and aside of it and so high over it, mm. */
const viewFrom = (along: number, aside: number, height: number): View => ({
  photo,
  camera: cameraLookingAt([600 + along, aside, height], [600, 0, 10], 3000, photo.width, photo.height),
});
const sightedIn = (views: readonly number[]) =>
  ({
    along: 600,
    right: 0,
    up: 12,
    sightings: views.map((view) => ({ view }) as RingSighting),
  }) as RingCandidate;
const all = (views: readonly View[]) => views.map((_, view) => view);

test('of few photos all are used', () => {
  const views = Array.from({ length: mostTelling }, (_, i) => viewFrom(10 * i, 0, 500));
  expect(tellingViews(views, axis, sightedIn([0]))).toBeUndefined();
  // photos of another stretch of the rod are none of them
  const elsewhere = { photo, camera: cameraLookingAt([-3000, 0, 500], [-3000, 0, 10], 3000, 4032, 3024) };
  expect(tellingViews([...views, elsewhere, elsewhere], axis, sightedIn([0]))).toBeUndefined();
});

test('of many those from both sides, from nearby and from either end are among the chosen', () => {
  const crowd = Array.from({ length: 60 }, (_, i) => viewFrom(i, 0, 600));
  const telling = [viewFrom(-300, 0, 450), viewFrom(300, 0, 450), viewFrom(0, -300, 450), viewFrom(0, 300, 450)];
  const views = [...crowd.slice(0, 30), ...telling, ...crowd.slice(30)];
  const chosen = tellingViews(views, axis, sightedIn(all(views)))!;
  expect(chosen).toHaveLength(mostTelling);
  expect(new Set(chosen).size).toBe(mostTelling);
  expect(chosen.toSorted((a, b) => a - b)).toEqual(chosen);
  for (const view of [30, 31, 32, 33]) expect(chosen).toContain(view);
});

test('a photo in which the ring was seen is taken before one in which it was not', () => {
  const views = Array.from({ length: 40 }, (_, i) => viewFrom(10 * (i - 20), 0, 500));
  const seen = [3, 9, 17, 18, 19, 20, 33];
  const chosen = tellingViews(views, axis, sightedIn(seen))!;
  expect(chosen).toHaveLength(mostTelling);
  for (const view of seen) expect(chosen).toContain(view);
});
