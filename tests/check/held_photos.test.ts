import { readFile } from 'node:fs/promises';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { setImmediate } from 'node:timers/promises';
import { describe, expect, test, vi } from 'vitest';
import { holdingLane } from '../../src/check/held_photos.ts';
import { laneBySquares } from '../../src/check/looked_at.ts';
import { placePhotos } from '../../src/check/place_photos.ts';
import { readPhotos } from '../../src/check/read_photos.ts';
import { cropPhoto, holdPart } from '../../src/photo/crop.ts';
import { decodePhotoFile } from '../../src/photo/decode_node.ts';
import { heldOf, type Photo } from '../../src/photo/photo.ts';
import { parseShoot } from '../../src/plan/files/shoot_file.ts';
import { edgesAcross, noiseNear } from '../../src/vision/edge_profile.ts';
import { samplePhoto } from '../../src/vision/sampling.ts';

vi.setConfig({ testTimeout: 240_000 });

const folder = new URL('../../fixtures/sample/', import.meta.url);
const shoot = parseShoot(await readFile(new URL('shoot.json', folder), 'utf8'));
/** Enough of it to lie on three pages. */
const walk = { ...shoot, photos: shoot.photos.slice(0, 4) };
const decoded = async (index: number): Promise<Photo> => {
  const name = shoot.photos[index]!;
  return decodePhotoFile({ name, bytes: await readFile(new URL(name, folder)) });
};

setFlagsFromString('--expose-gc');
const collect = runInNewContext('gc') as () => void;

/** Hands over photos and counts how many of those handed over before still have all their pixels in memory. */
function counting() {
  const planes: WeakRef<Uint8Array>[] = [];
  const held = async () => {
    // What was looked at in this turn of the event loop is kept until its end.
    await setImmediate();
    collect();
    return planes.filter((plane) => plane.deref() !== undefined).length;
  };
  const most = { before: 0 };
  const load = async (index: number) => {
    most.before = Math.max(most.before, await held());
    const photo = await decoded(index);
    planes.push(new WeakRef(photo.luma));
    return photo;
  };
  return { load, held, most, loaded: () => planes.length };
}

describe('of a walk', () => {
  test('one photo is held whole while the next is decoded, and none once the cameras stand', async () => {
    const { load, held, most, loaded } = counting();
    const { tagged } = await placePhotos(walk, load, () => {});
    expect(loaded()).toBe(walk.photos.length);
    expect(most.before).toBeLessThanOrEqual(1);
    expect(await held()).toBe(0);
    for (const { photo } of tagged) {
      expect(photo.luma.length).toBe(heldOf(photo).width * heldOf(photo).height);
      expect(photo.luma.length).toBeLessThan(0.6 * photo.width * photo.height);
    }
  });

  test('a photo that held too little of the lane is decoded once more, alone', async () => {
    const read = await placePhotos({ ...walk, photos: walk.photos.slice(0, 2) }, decoded, () => {});
    const [first, ...others] = read.tagged;
    const cut = { ...first!, photo: holdPart(first!.photo, { ...heldOf(first!.photo), height: 40 }) };
    const { load, held, loaded } = counting();
    const again = await holdingLane([cut, ...others], read.mat, shoot.rest, load);
    expect(loaded()).toBe(1);
    expect(await held()).toBe(0);
    expect(heldOf(again[0]!.photo).height).toBeGreaterThan(40);
    for (const [i, view] of others.entries()) expect(again[i + 1]).toBe(view);
  });
});

test('what is held reads as the whole photo does', async () => {
  const whole = await decoded(0);
  const [view] = await readPhotos(
    1,
    async () => whole,
    () => {},
  );
  const lane = laneBySquares(view!.reading.tags, whole)!;
  const part = holdPart(whole, { ...lane, left: lane.left + 101, top: lane.top + 33, height: lane.height - 60 });
  const { left, top, width, height } = heldOf(part);
  for (let i = 0; i < 200; i++) {
    const [x, y] = [left + 30 + ((i * 37.7) % (width - 60)), top + 30 + ((i * 13.3) % (height - 60))];
    expect(samplePhoto(part, x, y)).toEqual(samplePhoto(whole, x, y));
    const angle = i / 7;
    const walk = [[x, y], [Math.cos(angle), Math.sin(angle)], { reach: 12, breadth: 5, least: 1 }] as const;
    // counted from another corner, places differ by rounding
    const [found, expected] = [edgesAcross(part, ...walk), edgesAcross(whole, ...walk)];
    expect(found.length).toBe(expected.length);
    for (const [k, { offset, slope }] of expected.entries()) {
      expect(found[k]!.offset).toBeCloseTo(offset, 9);
      expect(found[k]!.slope).toBeCloseTo(slope, 9);
    }
    expect(noiseNear(part, [x, y], 20)).toBe(noiseNear(whole, [x, y], 20));
  }
  const square = { left: left + 11, top: top + 7, width: 60, height: 40 };
  expect(cropPhoto(part, square).rgba).toEqual(cropPhoto(whole, square).rgba);
  expect(samplePhoto(part, left - 5, top + 40)[0]).toBeNaN();
  // and a part of a part is the same part
  expect(Buffer.compare(holdPart(holdPart(whole, lane), heldOf(part)).luma, part.luma)).toBe(0);
});
