import { describe, expect, test } from 'vitest';
import { ringByPhoto } from '../../src/adjust/guide_by_photo.ts';
import { describeRing, sightingCovariance } from '../../src/adjust/fitted_ring.ts';
import { placeCandidate } from '../../src/adjust/ring_candidate.ts';
import { placeRing, plannedRing, type RingState } from '../../src/adjust/ring_state.ts';
import type { RingGuide } from '../../src/plan/plan.ts';
import type { View } from '../../src/vision/strip.ts';
import { sightingsOf } from '../world/made_up_sightings.ts';
import { cameraLookingAt, takePhoto } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(120, 1.5, 3, 8);
const guide: RingGuide = { ringOuter: 7, ringInner: 5, height: 8, lean: 0, foot: 'single' };
const truth: RingState = { ...plannedRing(guide).shape.mean, along: 60, right: 1.5, up: 10.1 };
const size = { width: 360, height: 240 };
const eyes = [
  [50, 30, 300],
  [90, -60, 290],
  [20, 10, 310],
] as const;
const ringAt = (along: number) => placeRing(axis, { ...truth, along }).ring;

/** Photos of one ring that stands so far from 60 mm in each, and what a finder sees of it. */
function photosOf(off: readonly number[], ring = 70) {
  const views = eyes.map((eye, i): View => {
    const camera = cameraLookingAt(eye, [60, 0, 12], 2400, size.width, size.height);
    const scene = { axis, rings: [ringAt(60 + off[i]!)], bands: [], paper: 215, blank: 50, ring };
    return takePhoto(scene, camera, size, 2, i + 1);
  });
  const sightings = views.flatMap((_, i) =>
    sightingsOf(views, axis, [ringAt(60 + off[i]!)], { place: 0.2, seed: i + 2 }).filter(({ view }) => view === i),
  );
  return { views, sightings };
}

/** The ring as all photos together would have it, at 60 mm. */
function jointRing({ views, sightings }: ReturnType<typeof photosOf>) {
  const candidate = { ...placeCandidate(views, axis, sightings.slice(0, 1))!, sightings };
  const covariance = sightingCovariance(candidate);
  return describeRing(views, axis, candidate, { state: truth, covariance, views: [0, 1, 2], edges: 100, score: 30 });
}

describe('a ring asked in each photo by itself', () => {
  test('is told where each photo has it, be it where all have it or elsewhere', () => {
    for (const off of [
      [0, 0, 0],
      [0.6, 0.6, -0.7],
      [0, 0, 1.8],
    ]) {
      const photos = photosOf(off);
      const readings = ringByPhoto(photos.views, axis, jointRing(photos));
      expect(readings.map(({ view }) => view)).toEqual([0, 1, 2]);
      for (const [i, { places }] of readings.entries()) {
        expect(Math.abs(places[0]!.off - off[i]!), `${off.join()}, photo ${i}`).toBeLessThan(
          Math.max(0.12, 3 * places[0]!.u),
        );
        expect(places[0]!.u).toBeLessThan(0.15);
      }
    }
  });

  test('higher than reckoned it shows toward where the photo looks from', () => {
    const photos = photosOf([0, 0, 0]);
    const readings = ringByPhoto(photos.views, axis, jointRing(photos));
    for (const [i, { perHeight }] of readings.entries()) {
      const [x, , z] = eyes[i]!;
      expect(perHeight).toBeCloseTo((60 - x) / (z - 18), 1);
    }
  });

  test('has no rims where none show: the sighting tells, less surely', () => {
    const photos = photosOf([0, 0, 0], 215);
    const blank = photos.views.map((view): View => {
      const luma = new Uint8Array(size.width * size.height).fill(215);
      return { ...view, photo: { ...view.photo, luma } };
    });
    for (const { places } of ringByPhoto(blank, axis, jointRing(photos))) {
      expect(places).toHaveLength(1);
      expect(places[0]!.u).toBeGreaterThan(0.3);
    }
  });
});
