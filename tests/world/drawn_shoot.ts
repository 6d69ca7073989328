import { lensFound } from '../../src/adjust/lens_found.ts';
import type { LensProfile } from '../../src/adjust/lens_profile.ts';
import { adjustMat } from '../../src/adjust/mat_adjustment.ts';
import type { TaggedPhoto } from '../../src/adjust/mat_cameras.ts';
import { matFound } from '../../src/adjust/mat_found.ts';
import type { MatProfile } from '../../src/adjust/mat_profile.ts';
import type { MatSolution } from '../../src/adjust/mat_summary.ts';
import { matDoubt, placeDoubt, scaleDoubt, type SeenPlace } from '../../src/adjust/propagation.ts';
import { dot, subtract, unit, type Pixel, type Vector3 } from '../../src/geometry/vector.ts';
import { printedLengths, spanUncertainty } from '../../src/mat/readings.ts';
import type { MatReadings } from '../../src/plan/shoot.ts';
import { meetingPoint } from './meeting_point.ts';
import { seededNormal, seededUniform } from './seeded_random.ts';
import { bendingLens, wavingPaper } from './shop.ts';
import { layTiles, observePhotos, picture, trueReadings, walk, type World } from './world.ts';

/** A shoot drawn at random: what it was drawn from, so that a table can group by it. */
export interface DrawnShoot {
  world: World;
  readings: MatReadings;
  /** a corner's and a rim's reading, pixels */
  corner: number;
  reading: number;
  waves: number;
  field: number;
  seed: number;
}

/** How well the height of a thing on the rod is known beside what its rays tell, mm: by the outlines and its rims. */
const heightSigma = 0.3;
/** How well the height of the tip is known: it lies on the paper, or its outlines tell. */
const tipHeightSigma = 0.15;

export interface DrawnOptions {
  tiles?: number;
  waves?: number;
  field?: number;
  photos?: number;
  /** mm over the bench */
  distance?: number;
}

/**
 * Pages, walk, waves (to 1.2 mm), lens field (to 0.8 px), print scale, corners' noise and readings, all from one seed.
 */
export function drawShoot(seed: number, options: DrawnOptions = {}): DrawnShoot {
  const uniform = seededUniform(seed * 17 + 1);
  const normal = seededNormal(seed * 19 + 2);
  const drawnTiles = 3 + Math.floor(3 * uniform());
  const tiles = options.tiles ?? drawnTiles;
  const along = 1 + 0.01 * normal();
  const mat = layTiles({ tiles, seed, printScale: { along, across: along + 0.002 * normal() } });
  const waves = options.waves ?? 1.2 * uniform();
  const field = options.field ?? 0.8 * uniform();
  const drawnPhotos = tiles + Math.floor(2.5 * uniform());
  const photos = options.photos ?? drawnPhotos;
  const xs = mat.tiles.map(({ x }) => x);
  const [width, height] = [4032, 3024];
  const bend = bendingLens(seed, field, width, height);
  const cameras = walk({
    photos,
    from: Math.min(...xs) - 40,
    to: Math.max(...xs) + 40,
    distance: options.distance ?? 480 + 120 * uniform(),
    width,
    height,
    seed,
  });
  const world: World = {
    ...mat,
    paper: wavingPaper(seed, waves, 0.8 * waves),
    cameras: cameras.map((camera) => ({ ...camera, bend })),
  };
  const exact = trueReadings(world, { fromTag: 0, toTag: 10 * (tiles - 1) + 4 });
  const readings: MatReadings = {
    barAlong: exact.barAlong! + printedLengths.barAlong.sigma * normal(),
    barAcross: exact.barAcross! + printedLengths.barAcross.sigma * normal(),
    span: { ...exact.span!, length: exact.span!.length + spanUncertainty(exact.span!) * normal() },
  };
  return { world, readings, corner: 0.06 + 0.12 * uniform(), reading: 0.1 + 0.2 * uniform(), waves, field, seed };
}

/** One place on the rod: how far it was measured off, and the standard uncertainties stated; mm. */
export interface MeasuredError {
  along: number;
  error: number;
  u: number;
  /** without the tape's share, and the error without it */
  apart: { error: number; u: number };
  seen: SeenPlace;
}

export interface Measured {
  photos: readonly TaggedPhoto[];
  mat: MatSolution;
  /** the tip as any other place */
  tip: SeenPlace;
  places: MeasuredError[];
}

/**
 * The lens of a drawn shoot's camera as a dozen photos of two other pages tell it, on a day when it stood a little
 * nearer or farther.
 */
export function drawLens({ world, seed, field, corner }: DrawnShoot): LensProfile {
  const normal = seededNormal(seed * 29 + 11);
  const [{ camera, width, height }] = world.cameras as [World['cameras'][0]];
  const mat = layTiles({ tiles: 2, seed: seed + 5000 });
  const bend = bendingLens(seed, field, width, height);
  const photos = observePhotos(
    {
      ...mat,
      paper: wavingPaper(seed + 7000, 0.4, 0.3),
      cameras: walk({
        photos: 12,
        from: mat.tiles[0]!.x - 60,
        to: mat.tiles[1]!.x + 60,
        distance: 430,
        width,
        height,
        focal: camera.intrinsics.focal * (1 + 0.002 * normal()),
        seed: seed + 9000,
      }).map((shot) => ({ ...shot, bend })),
    },
    { corner, next: normal },
  );
  const solved = adjustMat(photos, {})!;
  const found = lensFound(solved, 0)!;
  return { name: 'drawn', camera: 'made-up camera', photos: photos.length, corner: solved.levels.corner, ...found };
}

/** What photos taken before told and is kept. */
export interface DrawnKnown {
  lens?: LensProfile | undefined;
  mat?: MatProfile | undefined;
}

/** A drawn shoot's mat as a walk of six other photos told it the day before, with the same readings. */
export function drawMat({ world, seed, corner, readings }: DrawnShoot): MatProfile {
  const [{ camera, width, height, bend }] = world.cameras as [World['cameras'][0]];
  const xs = world.tiles.map(({ x }) => x);
  const cameras = walk({
    photos: world.tiles.length + 3,
    from: Math.min(...xs) - 40,
    to: Math.max(...xs) + 40,
    distance: 520,
    width,
    height,
    focal: camera.intrinsics.focal,
    seed: seed + 9500,
  }).map((shot) => ({ ...shot, ...(bend && { bend }) }));
  const photos = observePhotos({ ...world, cameras }, { corner, next: seededNormal(seed * 37 + 3) });
  return { ...matFound(adjustMat(photos, readings)!, readings)!, name: 'drawn' };
}

/** Solves the mat and measures places along a straight rod over it; undefined where the tip or the mat is not seen. */
export function measureDrawn(shoot: DrawnShoot, { lens, mat: kept }: DrawnKnown = {}): Measured | undefined {
  const { world, corner, reading, seed } = shoot;
  const normal = seededNormal(seed * 23 + 5);
  const photos = observePhotos(world, { corner, next: normal }).map((photo) => ({ ...photo, ...(lens && { lens }) }));
  const mat = adjustMat(photos, shoot.readings, kept);
  if (!mat) return undefined;
  const reference = world.tiles.find(({ tile }) => tile === mat.tiles[0]!.tile)!;
  const toBench = benchOf(reference);
  const length = Math.max(...world.tiles.map(({ x }) => x)) + 60;
  const see = (truth: Vector3, sigma: number) => {
    const views = world.cameras.flatMap((shot, photo) => {
      const p = picture(shot, truth);
      const camera = mat.cameras[photo];
      if (!p || !camera || p[0] < 40 || p[1] < 40 || p[0] > shot.width - 40 || p[1] > shot.height - 40) return [];
      const pixel: Pixel = [p[0] + reading * normal(), p[1] + reading * normal()];
      return [{ camera, pixel, photo }];
    });
    const start = toBench(truth);
    const known: Vector3 = [start[0], start[1], start[2] + sigma * normal()];
    return views.length > 0 ? { point: meetingPoint(views, known, sigma, reading), views } : undefined;
  };
  const tip = see([0, 3, 4], tipHeightSigma);
  const end = see([length, 3, 12], tipHeightSigma);
  if (!tip || !end) return undefined;
  const direction = unit(subtract(end.point, tip.point));
  const seenPlace = (seen: NonNullable<typeof tip>, sigma: number): SeenPlace => ({
    point: seen.point,
    along: direction,
    photos: seen.views.map(({ photo }) => photo),
    heightSigma: sigma,
    pixelSigma: reading,
  });
  const tipSeen = seenPlace(tip, tipHeightSigma);
  const doubt = matDoubt(mat, tipSeen)!;
  const tipOwn = placeDoubt(mat, doubt, tipSeen).crossing;
  const exactDirection = unit([length, 0, 8]);
  const scale = scaleDoubt(mat, doubt);
  const tape = scaleError(world, shoot.readings, mat);
  const places: MeasuredError[] = [];
  for (let s = 90; s < length - 20; s += 110) {
    const truth: Vector3 = [s * exactDirection[0], 3, 4 + s * exactDirection[2] + 8 + 20 * (s / length)];
    const seen = see(truth, heightSigma);
    if (!seen) continue;
    const found = dot(subtract(seen.point, tip.point), direction);
    const exact = dot(subtract(truth, [0, 3, 4]), exactDirection);
    const place = seenPlace(seen, heightSigma);
    const own = placeDoubt(mat, doubt, place);
    const u = Math.hypot(own.geometry, own.crossing, tipOwn);
    const error = found - exact;
    places.push({
      along: exact,
      error,
      u: Math.hypot(u, scale * exact),
      apart: { error: error - tape * exact, u },
      seen: place,
    });
  }
  return { photos, mat, tip: tipSeen, places };
}

/** How much too long every length came out, by what carries the scale: the span as solved, or the outer pages. */
function scaleError(world: World, { span }: MatReadings, mat: MatSolution): number {
  if (mat.readings.span === undefined) {
    const [a, b] = [mat.tiles[0]!, mat.tiles.at(-1)!];
    const [p, q] = [a, b].map(({ tile }) => world.tiles.find((own) => own.tile === tile)!);
    return Math.hypot(b.x - a.x, b.y - a.y) / Math.hypot(q!.x - p!.x, q!.y - p!.y) - 1;
  }
  const solved = span!.length + mat.readings.span! * spanUncertainty(span!);
  return solved / trueReadings(world, span!).span!.length - 1;
}

const benchOf =
  (reference: World['tiles'][0]) =>
  ([x, y, z]: Vector3): Vector3 => {
    const [c, s] = [Math.cos(reference.yaw), Math.sin(reference.yaw)];
    return [c * (x - reference.x) + s * (y - reference.y), -s * (x - reference.x) + c * (y - reference.y), z];
  };
