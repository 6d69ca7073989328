import { beforeAll, describe, expect, test, vi } from 'vitest';
import { adjustMat } from '../../src/adjust/mat_adjustment.ts';
import type { MatSolution } from '../../src/adjust/mat_summary.ts';
import { fieldShift } from '../../src/geometry/lens_field.ts';
import { seatCard, tagPlace, tileTagIds } from '../../src/mat/tile.ts';
import { covarianceAt } from '../../src/numerics/joint_covariance.ts';
import { solveLinearSystem } from '../../src/numerics/linear_system.ts';
import { rotationMatrix, rotationVector } from '../../src/geometry/rotation.ts';
import { multiply, subtract, transform, transpose, type Vector3 } from '../../src/geometry/vector.ts';
import { cameraCentre } from '../../src/geometry/camera.ts';
import type { TilePlace } from '../../src/adjust/mat_start.ts';
import type { MatReadings } from '../../src/plan/shoot.ts';
import { type DrawnShoot, drawShoot, type Measured, measureDrawn } from '../world/drawn_shoot.ts';
import { seededNormal } from '../world/seeded_random.ts';
import { bendingLens, wavingPaper } from '../world/shop.ts';
import {
  layTiles,
  type MatOptions,
  type Noise,
  observePhotos,
  tilePointInWorld,
  trueReadings,
  walk,
  type World,
} from '../world/world.ts';

/** A solve takes a fifth of a second on a quiet machine. */
vi.setConfig({ testTimeout: 60_000, hookTimeout: 120_000 });

const noiseOf = (seed: number, corner = 0.1): Noise => ({ corner, next: seededNormal(seed) });

/** The true places in the frame the adjustment uses: that of the lowest-numbered tile seen. */
function inFrameOf(world: World, reference: TilePlace) {
  const c = Math.cos(reference.yaw);
  const s = Math.sin(reference.yaw);
  const point = ([x, y, z]: Vector3): Vector3 => [
    c * (x - reference.x) + s * (y - reference.y),
    -s * (x - reference.x) + c * (y - reference.y),
    z,
  ];
  return {
    point,
    tile: (tile: TilePlace) => {
      const [x, y] = point([tile.x, tile.y, 0]);
      return { x, y, yaw: tile.yaw - reference.yaw };
    },
    turn: [c, s, 0, -s, c, 0, 0, 0, 1] as const,
    world,
  };
}

const angleBetween = (a: number, b: number) => Math.abs(Math.atan2(Math.sin(a - b), Math.cos(a - b)));

interface Limits {
  tile: number;
  yaw: number;
  camera: number;
}
const good: Limits = { tile: 0.25, yaw: 1e-3, camera: 1 };

function expectRecovered(world: World, solution: MatSolution | undefined, limits: Limits = good): void {
  expect(solution?.usable).toBe(true);
  const found = solution!;
  const reference = world.tiles.find((t) => t.tile === Math.min(...found.tiles.map((f) => f.tile)))!;
  const frame = inFrameOf(world, reference);
  for (const tile of found.tiles) {
    const truth = frame.tile(world.tiles.find((t) => t.tile === tile.tile)!);
    const name = `tile ${tile.tile}`;
    expect(Math.hypot(tile.x - truth.x, tile.y - truth.y), name).toBeLessThan(limits.tile);
    expect(angleBetween(tile.yaw, truth.yaw), name).toBeLessThan(limits.yaw);
  }
  found.cameras.forEach((camera, i) => {
    const truth = frame.point(cameraCentre(world.cameras[i]!.camera));
    expect(Math.hypot(...subtract(cameraCentre(camera!), truth)), `camera ${i}`).toBeLessThan(limits.camera);
  });
}

function makeWorld(options: MatOptions = {}, more: Partial<Parameters<typeof walk>[0]> = {}): World {
  const mat = layTiles(options);
  const xs = mat.tiles.map((t) => t.x);
  return { ...mat, cameras: walk({ from: Math.min(...xs), to: Math.max(...xs), photos: 5, ...more }) };
}

const fullSpan = (world: World): MatReadings => {
  const last = Math.max(...world.tiles.map((t) => t.tile));
  return trueReadings(world, { fromTag: 0, toTag: 10 * last + 4 });
};

describe('mat and cameras come back', () => {
  test('exactly, from exact corners', () => {
    const world = makeWorld();
    const solution = adjustMat(observePhotos(world), fullSpan(world))!;
    // What stays is the pull of the priors on a focal length 0.7 % off and on the distortion.
    expectRecovered(world, solution, { tile: 0.02, yaw: 1e-4, camera: 0.1 });
    expect(Math.max(...solution.residuals)).toBeLessThan(0.005);
    expect(
      Math.abs(solution.cameras[0]!.intrinsics.focal / world.cameras[0]!.camera.intrinsics.focal - 1),
    ).toBeLessThan(2e-4);
  });

  test('from corners read to 0.1 px', () => {
    const world = makeWorld({ seed: 3 });
    const solution = adjustMat(observePhotos(world, noiseOf(5)), fullSpan(world))!;
    expectRecovered(world, solution);
    expect(solution.levels.corner).toBeGreaterThan(0.085);
    expect(solution.levels.corner).toBeLessThan(0.115);
    expect(solution.moved).toBeUndefined();
    for (const r of Object.values(solution.readings)) expect(Math.abs(r)).toBeLessThan(2);
  });

  test('with tile 0 out of view: the lowest tile seen carries the frame', () => {
    const world = makeWorld({ tiles: 5 });
    world.cameras = walk({ from: world.tiles[2]!.x, to: world.tiles[4]!.x, photos: 4, distance: 430 });
    const photos = observePhotos(world, noiseOf(6));
    expect(photos.some((p) => p.tags.some((t) => t.id < 10))).toBe(false);
    const solution = adjustMat(photos, trueReadings(world, { fromTag: 20, toTag: 44 }))!;
    expect(solution.tiles[0]!.tile).toBe(1);
    expectRecovered(world, solution);
    expect(solution.readings.span).toBeDefined();
  });

  test('a span to a tile no photo shows is left out, not invented', () => {
    const world = makeWorld({ tiles: 5 });
    world.cameras = walk({ from: world.tiles[2]!.x, to: world.tiles[4]!.x, photos: 4, distance: 430 });
    const solution = adjustMat(observePhotos(world, noiseOf(6)), fullSpan(world))!;
    expect(solution.readings.span).toBeUndefined();
    expect(solution.readings.barAlong).toBeDefined();
  });

  test('with a tile laid upside down', () => {
    const world = makeWorld();
    world.tiles[1] = { ...world.tiles[1]!, yaw: world.tiles[1]!.yaw + Math.PI };
    expectRecovered(world, adjustMat(observePhotos(world, noiseOf(7)), fullSpan(world)));
  });

  test.each([
    ['from tile to tile', 0],
    ['within the page laid upside down', 39],
  ])('with a span that ends on a tile laid upside down: %s', (_, fromTag) => {
    const world = makeWorld();
    world.tiles[3] = { ...world.tiles[3]!, yaw: world.tiles[3]!.yaw + Math.PI };
    // Turned round, the bottom row's first tag lies at the far end of the top row.
    const solution = adjustMat(observePhotos(world, noiseOf(7)), trueReadings(world, { fromTag, toTag: 35 }))!;
    expectRecovered(world, solution);
    expect(Math.abs(solution.readings.span!)).toBeLessThan(2);
  });

  test('with two tiles that changed places', () => {
    const world = makeWorld();
    const [a, b] = [world.tiles[1]!, world.tiles[2]!];
    world.tiles[1] = { ...b, tile: a.tile };
    world.tiles[2] = { ...a, tile: b.tile };
    expectRecovered(world, adjustMat(observePhotos(world, noiseOf(8)), fullSpan(world)));
  });

  test('with the tip at the last tile', () => {
    const world = makeWorld({ tipAtLastTile: true });
    expectRecovered(world, adjustMat(observePhotos(world, noiseOf(9)), fullSpan(world)));
  });

  test('with portrait and landscape photos mixed', () => {
    const world = makeWorld({}, { portrait: [1, 3] });
    expectRecovered(world, adjustMat(observePhotos(world, noiseOf(10)), fullSpan(world)));
  });

  test.each([0.97, 1.03])('printed at %f, bars and span read', (k) => {
    const world = makeWorld({ printScale: { along: k, across: k + 0.002 }, seed: 4 });
    const solution = adjustMat(observePhotos(world, noiseOf(11)), fullSpan(world))!;
    expectRecovered(world, solution);
    expect(Math.abs(solution.printScale.along - k)).toBeLessThan(3e-4);
    expect(Math.abs(solution.printScale.across - k - 0.002)).toBeLessThan(6e-4);
  });

  test('one photo of one page from above', () => {
    const world = makeWorld({ tiles: 1 });
    world.cameras = walk({ photos: 1, from: world.tiles[0]!.x, to: world.tiles[0]!.x, distance: 400 });
    const solution = adjustMat(observePhotos(world, noiseOf(12)), trueReadings(world))!;
    // Focal length and distance trade places in one photo from nearly above: the camera is loose, the page is not.
    expectRecovered(world, solution, { tile: 1e-9, yaw: 1e-9, camera: 8 });
  });
});

describe('what does not fit is noticed', () => {
  test('a bar and a span that contradict each other', () => {
    const world = makeWorld();
    const readings = fullSpan(world);
    const solution = adjustMat(observePhotos(world, noiseOf(13)), {
      ...readings,
      span: { ...readings.span!, length: readings.span!.length * 1.02 },
    })!;
    expect(Math.max(Math.abs(solution.readings.span!), Math.abs(solution.readings.barAlong!))).toBeGreaterThan(3.5);
  });

  test.each([0, 1, 3])('a tile that moved by 3 mm before photo %i', (which) => {
    const world = makeWorld({ tiles: 3 }, { photos: 4 });
    const tile = world.tiles[Math.min(which, 2)]!;
    const photos = observePhotos(world, noiseOf(14));
    const after: World = {
      ...world,
      tiles: world.tiles.map((t) => (t === tile ? { ...t, y: t.y + 3 } : t)),
    };
    photos[which] = observePhotos(after, noiseOf(15))[which]!;
    const solution = adjustMat(photos, fullSpan(world))!;
    expect(solution.moved?.photo).toBe(which);
    expect(solution.moved?.byMm).toBeCloseTo(3, 1);
  });

  test('photos that share no page stay apart: the larger group is kept', () => {
    const world = makeWorld({ tiles: 6 });
    const near = walk({ from: world.tiles[0]!.x, to: world.tiles[1]!.x, photos: 3, distance: 380, seed: 2 });
    const far = walk({ from: world.tiles[5]!.x, to: world.tiles[5]!.x, photos: 1, distance: 330, seed: 3 });
    world.cameras = [...near, ...far];
    const solution = adjustMat(observePhotos(world, noiseOf(16)), trueReadings(world))!;
    expect(solution.cameras.map((c) => c !== undefined)).toEqual([true, true, true, false]);
    expect(solution.tiles.some((t) => t.tile === 5)).toBe(false);
  });

  test('no page with two tags: no answer', () => {
    const world = makeWorld();
    const photos = observePhotos(world, noiseOf(17)).map((p) => ({ ...p, tags: p.tags.slice(0, 1) }));
    expect(adjustMat(photos, trueReadings(world))).toBeUndefined();
    expect(adjustMat([], trueReadings(world))).toBeUndefined();
  });
});

describe('the seat card', () => {
  const roll = 0.12;
  const rise = 0.02;
  const world = makeWorld({ tiles: 3 });
  beforeAll(() => {
    // Tilted about the rod's axis, then raised toward the butt.
    const across = rotationMatrix([roll, 0, 0]);
    const along = rotationMatrix([0, -rise, 0]);
    world.card = { rotation: rotationVector(multiply(along, across)), centre: [world.tiles[2]!.x - 30, 4, 31] };
  });

  test('comes back with its tilt and place', () => {
    const solution = adjustMat(observePhotos(world, noiseOf(18)), fullSpan(world))!;
    const frame = inFrameOf(world, world.tiles[0]!);
    const card = solution.card!;
    expect(Math.hypot(...subtract(card.centre, frame.point(world.card!.centre)))).toBeLessThan(0.3);
    const truth = multiply([...frame.turn], rotationMatrix(world.card!.rotation));
    const apart = rotationVector(multiply(transpose(truth), rotationMatrix(card.rotation)));
    expect((Math.hypot(...apart) * 180) / Math.PI).toBeLessThan(0.8);
    const normal = transform(rotationMatrix(card.rotation), [0, 0, 1]);
    expect(normal[2]).toBeGreaterThan(0.9);
  });

  const shrunk = { along: 0.973, across: 0.976 };
  test.each([
    ['with the mat', shrunk],
    ['true to size', { along: 1, across: 1 }],
  ])('printed %s does not measure a mat that is printed too small', (_, printScale) => {
    const small = makeWorld({ tiles: 3, printScale: shrunk });
    small.card = { ...world.card!, printScale };
    const photos = observePhotos(small, noiseOf(18));
    expect(photos.some(({ tags }) => tags.some(({ id }) => id === seatCard.ids[0]))).toBe(true);
    const solution = adjustMat(photos, fullSpan(small))!;
    expect(solution.printScale.along).toBeCloseTo(shrunk.along, 3);
    expect(solution.printScale.across).toBeCloseTo(shrunk.across, 3);
    for (const reading of Object.values(solution.readings)) expect(Math.abs(reading)).toBeLessThan(1);
    const frame = inFrameOf(small, small.tiles[0]!);
    expect(Math.hypot(...subtract(solution.card!.centre, frame.point(small.card.centre)))).toBeLessThan(0.6);
  });
});

describe('paper with a shape, a lens with a field', () => {
  const bent = (seed: number, waves: number, field: number, mat: MatOptions = {}): World => {
    const world = makeWorld({ seed, ...mat });
    const bend = bendingLens(seed, field, 4032, 3024);
    return {
      ...world,
      paper: wavingPaper(seed, waves, waves),
      cameras: world.cameras.map((shot) => ({ ...shot, bend })),
    };
  };

  test.each([
    [1, 1.2, 0],
    [2, 0, 0.8],
    [3, 1.2, 0.8],
    [4, 2, 0.4],
  ])('seed %i, waves of %f mm, a field of %f px: measured, and nothing is said to have moved', (seed, waves, field) => {
    const world = bent(seed, waves, field);
    const solution = adjustMat(observePhotos(world, noiseOf(seed)), fullSpan(world))!;
    expect(solution.moved).toBeUndefined();
    expect(solution.levels.corner).toBeLessThan(0.4);
    // Across, a mat of pages that hang together by tags alone may bend by some tenths; along, the span holds it.
    expectRecovered(world, solution, { tile: 0.6, yaw: 2e-3, camera: 4 });
    const last = solution.tiles.at(-1)!;
    const truth = inFrameOf(world, world.tiles[0]!).tile(world.tiles.at(-1)!);
    expect(Math.abs(last.x - truth.x)).toBeLessThan(0.15);
  });

  test("the pages' heights come back, from the mean plane of the tags", () => {
    const world = bent(5, 1, 0.3);
    const solution = adjustMat(observePhotos(world, noiseOf(20)), fullSpan(world))!;
    const points = world.tiles.flatMap((tile) =>
      tileTagIds(tile.tile).map((id, i) => {
        const [u, v] = tagPlace(id)!.centre;
        const [x, y] = tilePointInWorld(world, tile, u, v);
        const { heights } = solution.tiles.find((found) => found.tile === tile.tile)!;
        return { x, y, truth: world.paper!(tile.tile, u, v), found: heights[i]! };
      }),
    );
    // The bench's plane is free: what a plane over all tags takes up is no height.
    const misses = withoutPlane(points.map(({ x, y, truth, found }) => ({ x, y, z: found - truth })));
    const size = withoutPlane(points.map(({ x, y, truth }) => ({ x, y, z: truth })));
    expect(rms(misses)).toBeLessThan(0.12);
    expect(rms(misses)).toBeLessThan(0.4 * rms(size));
  });

  test('a flat mat under a good lens stays flat and straight', () => {
    const world = makeWorld({ seed: 6 });
    const solution = adjustMat(observePhotos(world, noiseOf(21)), fullSpan(world))!;
    expect(Math.max(...solution.tiles.flatMap(({ heights }) => heights.map(Math.abs)))).toBeLessThan(0.15);
    for (const camera of solution.cameras) {
      const [right, down] = fieldShift(camera!.intrinsics.field!, 2016, 1512);
      expect(Math.hypot(right, down)).toBeLessThan(0.2);
    }
  });

  test.each([
    ['along', 1, 0],
    ['across', 0, 1],
  ])('a page that moved by 1 mm %s is caught where paper and lens are bent too', (_, dx, dy) => {
    const world = bent(7, 0.6, 0.5);
    const photos = observePhotos(world, noiseOf(22));
    const after = { ...world, tiles: world.tiles.map((t) => (t.tile === 1 ? { ...t, x: t.x + dx, y: t.y + dy } : t)) };
    photos[1] = observePhotos(after, noiseOf(23))[1]!;
    const { moved } = adjustMat(photos, fullSpan(world))!;
    expect(moved?.photo).toBe(1);
    expect(Math.abs(moved!.byMm - 1)).toBeLessThan(0.2);
  });
});

const rms = (values: readonly number[]) => Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);

/** Heights less the plane that fits them best. */
function withoutPlane(points: readonly { x: number; y: number; z: number }[]): number[] {
  const rows = points.map(({ x, y }) => [1, x / 1000, y / 100]);
  const normal = [0, 1, 2].map((i) => [0, 1, 2].map((j) => rows.reduce((sum, row) => sum + row[i]! * row[j]!, 0)));
  const right = [0, 1, 2].map((i) => rows.reduce((sum, row, k) => sum + row[i]! * points[k]!.z, 0));
  const plane = solveLinearSystem(normal, right)!;
  return points.map(({ z }, k) => z - rows[k]!.reduce((sum, v, i) => sum + v * plane[i]!, 0));
}

/** Shoots drawn anew, paper and lens and noise and readings: errors over their own stated standard uncertainty. */
describe('the doubt it states is the doubt it has (Monte Carlo)', () => {
  const trials = 24;
  let drawn: { shoot: DrawnShoot; measured: Measured }[] = [];
  beforeAll(() => {
    drawn = Array.from({ length: trials }, (_, i) => {
      const shoot = drawShoot(3000 + i, { tiles: 3 });
      return { shoot, measured: measureDrawn(shoot)! };
    });
  });

  /** Of 24 shoots the root mean square is itself good to 15 %; `npm run doubt` draws five hundred. */
  const expectAlike = (pulls: readonly number[], name: string) => {
    expect(rms(pulls), name).toBeGreaterThan(0.7);
    expect(rms(pulls), name).toBeLessThan(1.3);
  };

  test('the farthest page along', () => {
    expectAlike(
      drawn.map(({ shoot: { world }, measured: { mat } }) => {
        const truth = inFrameOf(world, world.tiles[0]!).tile(world.tiles[2]!);
        const at = mat.index.tiles.get(2)!.place;
        return (mat.values[at]! - truth.x) / Math.sqrt(covarianceAt(mat.covariance!, at, at));
      }),
      'x of tile 2',
    );
  });

  test('places on the rod, the scale counted and apart', () => {
    const all = drawn.flatMap(({ measured: { places } }) => places);
    expectAlike(
      all.map(({ error, u }) => error / u),
      'along',
    );
    expectAlike(
      all.map(({ apart }) => apart.error / apart.u),
      'along, scale apart',
    );
  });

  test("the corners' noise, degrees of freedom counted", () => {
    const flat = Array.from({ length: 4 }, (_, i) => {
      const shoot = drawShoot(4000 + i, { tiles: 3, waves: 0, field: 0 });
      return measureDrawn(shoot)!.mat.levels.corner / shoot.corner;
    });
    for (const ratio of flat) expect(Math.abs(ratio - 1)).toBeLessThan(0.1);
  });
});
