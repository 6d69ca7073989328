import { describe, expect, test } from 'vitest';
import { placeCandidate, type RingCandidate } from '../../src/adjust/ring_candidate.ts';
import { presence, presenceOf } from '../../src/adjust/ring_presence.ts';
import { heightOf, radiusReading, sightedSize } from '../../src/adjust/sighted_size.ts';
import type { Photo } from '../../src/photo/photo.ts';
import type { View } from '../../src/vision/strip.ts';
import { seenBy, sightingsOf } from '../world/made_up_sightings.ts';
import { cameraLookingAt } from '../world/ring_scene.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(600, 1, 4, 9);
const photo = { file: 'made-up', width: 4032, height: 3024 } as Photo;
const views: View[] = [180, 300, 420].map((x, i) => ({
  photo,
  camera: cameraLookingAt([x, 60 * (i - 1), 480], [x, 0, 10], 3000, photo.width, photo.height),
}));
const outer = 6;
const height = heightOf('ring', outer).mean;
const ring = {
  centre: [300, 0, 9 + 2.5 + height] as const,
  normal: [1, 0, 0] as const,
  outer,
  inner: 4.3,
  halfThickness: 1.4,
  rounding: 0.3,
  boreHalfThickness: 1.4,
};
const sightings = sightingsOf(views, axis, [ring], { place: 0, radius: 0 });

/** A place that the first photos show a ring at and the others do not. */
const seenIn = (count: number): RingCandidate => placeCandidate(views, axis, sightings.slice(0, count))!;
const oddsWith = (things: Parameters<typeof seenBy>[3]) => {
  const candidate = seenIn(2);
  return candidate.weight - presenceOf(views, axis, seenBy(views, axis, candidate.sightings, things), candidate);
};
/** Where the third photo's strip shows the place. */
const { along, across } = sightings[2]!;

describe('a photo without a sighting', () => {
  test('takes off much where it shows blank and paper there, and little where something else may hide the ring', () => {
    expect(oddsWith([])).toBeCloseTo(presence.contradiction, 9);
    expect(oddsWith([{ view: 2, name: 'other', along, across, half: 6 }])).toBeCloseTo(presence.hidden, 9);
  });

  test('takes off nothing where cells of a ring or its frame lie there', () => {
    expect(oddsWith([{ view: 2, name: 'frame', along, across, half: 1 }])).toBe(0);
  });

  test('takes off nothing where it does not show the place, and photos with a sighting never do', () => {
    const candidate = seenIn(2);
    const [, , third] = seenBy(views, axis, candidate.sightings);
    const elsewhere = { ...third!, covers: { from: 380, to: 600 } };
    expect(presenceOf(views, axis, [elsewhere], candidate)).toBe(candidate.weight);
    const all = seenIn(3);
    expect(presenceOf(views, axis, seenBy(views, axis, all.sightings), all)).toBe(all.weight);
  });

  test('takes off nothing where the ring would be too small in it to be missed', () => {
    const candidate = seenIn(2);
    const [, , third] = seenBy(views, axis, candidate.sightings);
    const far = { ...third!, pixelsPerMm: presence.leastPixels / (2.1 * outer) };
    expect(presenceOf(views, axis, [far], candidate)).toBe(candidate.weight);
  });
});

describe('the size of a ring as sighted', () => {
  test('is its own, though it stands nearer to the cameras than the blank and shows larger', () => {
    expect(sightings[0]!.radius).toBeGreaterThan(1.01 * outer);
    const size = sightedSize(views, axis, sightings)!;
    expect(size.outer).toBeCloseTo(outer, 1);
    expect(size.cost).toBeLessThan(0.01);
  });

  test('is known better from more photos, and worse where they disagree; one that lies far off joins nothing', () => {
    const [one, three] = [sightedSize(views, axis, sightings.slice(0, 1))!, sightedSize(views, axis, sightings)!];
    expect(three.sigma).toBeLessThan(one.sigma);
    const scaled = (by: number) => sightings.map((s, i) => (i === 2 ? { ...s, radius: s.radius * by } : s));
    const apart = sightedSize(views, axis, scaled(Math.exp(3 * radiusReading.sigma)))!;
    expect(apart.sigma).toBeGreaterThan(three.sigma);
    expect(apart.cost).toBeGreaterThan(three.cost);
    // reweighting leaves the two that agree in charge
    expect(Math.abs(Math.log(apart.outer / outer))).toBeLessThan(radiusReading.sigma);
    expect(sightedSize(views, axis, scaled(Math.exp(1.5 * radiusReading.farthest)))).toBeUndefined();
  });
});
