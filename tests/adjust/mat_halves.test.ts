import { expect, test, vi } from 'vitest';
import type { TaggedPhoto } from '../../src/adjust/mat_cameras.ts';
import { adjustMat } from '../../src/adjust/mat_adjustment.ts';
import { compareHalves, halvesOf } from '../../src/adjust/mat_halves.ts';
import { type DrawnShoot, drawShoot, measureDrawn } from '../world/drawn_shoot.ts';
import { seededNormal } from '../world/seeded_random.ts';
import { observePhotos } from '../world/world.ts';

/** Each walk is solved whole and in halves. */
vi.setConfig({ testTimeout: 120_000 });

const read = ({ world, corner }: DrawnShoot, seed: number): TaggedPhoto[] =>
  observePhotos(world, { corner, next: seededNormal(seed) });

/** How the halves of a walk differ: as it was drawn, or of other photos of it. */
function differOf(shoot: DrawnShoot, others?: readonly TaggedPhoto[]) {
  const { places, ...drawn } = measureDrawn(shoot)!;
  const photos = others ?? drawn.photos;
  const mat = others ? adjustMat(others, shoot.readings)! : drawn.mat;
  const halves = halvesOf(photos, mat);
  if (!halves) return undefined;
  const [first, second] = halves.map((own) => ({
    photos: own,
    half: adjustMat(
      own.map((photo) => photos[photo]!),
      shoot.readings,
    ),
  }));
  return compareHalves(
    mat,
    [first!, second!],
    places.map(({ seen }) => seen),
  );
}

test('the halves of walks in which nothing moved differ by what their doubt says', () => {
  const pulls = [2, 3, 7, 8, 10].map((seed) => {
    return differOf(drawShoot(seed, { tiles: 3, photos: 4 }))!;
  });
  for (const { pull, places } of pulls) {
    expect(pull).toBeLessThan(1.8);
    expect(places).toBeGreaterThanOrEqual(5);
  }
  const mean = Math.sqrt(pulls.reduce((sum, { pull }) => sum + pull ** 2, 0) / pulls.length);
  expect(mean).toBeGreaterThan(0.4);
});

test('a page that every other photo has elsewhere shows, where it is too little to be called moved', () => {
  const shoot = drawShoot(3, { tiles: 3, photos: 6, waves: 0.1, field: 0.1 });
  const shifted = {
    ...shoot,
    world: {
      ...shoot.world,
      tiles: shoot.world.tiles.map((own) => (own.tile === 1 ? { ...own, x: own.x + 0.4 } : own)),
    },
  };
  const [as, after] = [read(shoot, 1), read(shifted, 2)];
  const differ = differOf(
    shoot,
    as.map((photo, i) => (i % 2 === 0 ? photo : after[i]!)),
  )!;
  expect(differ.pull).toBeGreaterThan(1.8);
  expect(differ.apart).toBeGreaterThan(0.1);
});

test('three photos have no halves', () => {
  expect(differOf(drawShoot(13, { tiles: 3, photos: 3 }))).toBeUndefined();
});
