import { describe, expect, test, vi } from 'vitest';
import { type FurtherPhoto, furtherPhotos, isInPicture, type Stance } from '../../src/adjust/further_photo.ts';
import { placeDoubt, type SeenPlace, tipGradient } from '../../src/adjust/propagation.ts';
import type { Vector3 } from '../../src/geometry/vector.ts';
import { type DrawnShoot, drawShoot, type Measured, type MeasuredError, measureDrawn } from '../world/drawn_shoot.ts';
import { lookAt } from '../world/world.ts';

/** A solve takes a fifth of a second on a quiet machine. */
vi.setConfig({ testTimeout: 60_000 });

/** The first photos of a walk alone. */
const cutShort = (shoot: DrawnShoot, photos: number): DrawnShoot => ({
  ...shoot,
  world: { ...shoot.world, cameras: shoot.world.cameras.slice(0, photos) },
});

const stancesOver = ([x, y]: Vector3): Stance[] =>
  [300, 500].flatMap((height) =>
    [
      [0, 0],
      [0.5, 0],
      [-0.5, 0],
      [0, 0.5],
      [0, -0.5],
    ].map(
      ([along, across]): Stance => ({ eye: [x + along! * height, y + across! * height, height], target: [x, y, 0] }),
    ),
  );

/** The doubt without the scale that a place is to have with a further photo, mm. */
function predicted({ tip }: Measured, { seen }: MeasuredError, photo: FurtherPhoto): number {
  const withPhoto = (place: SeenPlace): SeenPlace =>
    isInPicture(photo, place.point) ? { ...place, photos: [...place.photos, photo.photo] } : place;
  const { mat, covariance } = photo;
  const [end, there] = [withPhoto(tip), withPhoto(seen)];
  const doubt = { covariance, tipByParameter: tipGradient(mat, end) };
  const own = placeDoubt(mat, doubt, there);
  return Math.hypot(own.geometry, own.crossing, placeDoubt(mat, doubt, end).crossing);
}

/** The same walk with a photo more, taken from there with the last one's lens. */
function withPhoto(shoot: DrawnShoot, { mat }: Measured, { eye, target }: Stance): DrawnShoot {
  const reference = shoot.world.tiles.find(({ tile }) => tile === mat.tiles[0]!.tile)!;
  const [c, s] = [Math.cos(reference.yaw), Math.sin(reference.yaw)];
  const inWorld = ([x, y, z]: Vector3): Vector3 => [reference.x + c * x - s * y, reference.y + s * x + c * y, z];
  const last = shoot.world.cameras.at(-1)!;
  const camera = lookAt(last.camera.intrinsics, inWorld(eye), inWorld(target), [1, 0, 0]);
  return { ...shoot, world: { ...shoot.world, cameras: [...shoot.world.cameras, { ...last, camera }] } };
}

describe('what a further photo would do', () => {
  test.each([1, 2, 3, 5])('is what it does, shoot %i', (seed) => {
    const shoot = cutShort(drawShoot(seed, { tiles: 3 }), 3);
    const before = measureDrawn(shoot)!;
    const worst = before.places.reduce((a, b) => (b.apart.u > a.apart.u ? b : a));
    const stances = stancesOver(worst.seen.point);
    const photos = furtherPhotos(before.mat, before.mat.cameras.length - 1, stances);
    const ranked = photos
      .flatMap((photo, i) => (photo ? [{ stance: stances[i]!, photo, u: predicted(before, worst, photo) }] : []))
      .toSorted((a, b) => a.u - b.u);
    const reached = (stance: Stance) => {
      const after = measureDrawn(withPhoto(shoot, before, stance))!;
      return after.places.find(({ along }) => along === worst.along)!.apart.u;
    };
    const [best, worstToo] = [ranked[0]!, ranked.at(-1)!].map(({ stance, u }) => ({ u, reached: reached(stance) }));
    // The levels are told anew with every photo: the prediction holds to a tenth.
    for (const { u, reached: then } of [best!, worstToo!]) expect(Math.abs(then / u - 1)).toBeLessThan(0.1);
    expect(best!.reached).toBeLessThan(worstToo!.reached);
    expect(worstToo!.reached).toBeLessThan(worst.apart.u);
  });

  test('is not said of a photo that shows no squares', () => {
    const { mat } = measureDrawn(cutShort(drawShoot(1, { tiles: 3 }), 3))!;
    const far = mat.tiles.at(-1)!.x + 3000;
    expect(furtherPhotos(mat, 0, [{ eye: [far, 0, 500], target: [far, 0, 0] }])).toEqual([undefined]);
  });
});
