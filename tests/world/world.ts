import type { TaggedPhoto } from '../../src/adjust/mat_cameras.ts';
import type { TilePlace } from '../../src/adjust/mat_start.ts';
import { type Camera, type Intrinsics, makeCamera, poseLooking, project } from '../../src/geometry/camera.ts';
import { rotationMatrix } from '../../src/geometry/rotation.ts';
import { add, type Pixel, scale, transform, type Vector3 } from '../../src/geometry/vector.ts';
import { barLength, seatCard, seatCardCorners, tagCorners, tagPlace, tagSide, tileTagIds } from '../../src/mat/tile.ts';
import type { MatReadings } from '../../src/plan/shoot.ts';
import type { Tag } from '../../src/vision/tags.ts';
import type { Bend, Paper } from './shop.ts';
import { seededNormal, seededUniform } from './seeded_random.ts';

/**
 * A made-up bench whose truth is known: tiles as a hand lays them, a card, cameras. World frame: the paper is z = 0, z
 * up, x from the rod's tip to its butt; mm. The tiles' places are true places in it.
 */
export interface World {
  tiles: TilePlace[];
  /** printed size over true size */
  printScale: { along: number; across: number };
  cameras: WorldCamera[];
  /** flat when absent */
  paper?: Paper;
  /** bench from card; its print scale is 1 unless it says otherwise */
  card?: { rotation: Vector3; centre: Vector3; printScale?: World['printScale'] };
}

export interface WorldCamera {
  camera: Camera;
  width: number;
  height: number;
  /** what the lens does beyond its camera's model */
  bend?: Bend;
}

/** Where a bench point shows in a photo, all that the lens does included. */
export function picture({ camera, bend }: WorldCamera, point: Vector3): Pixel | undefined {
  const p = project(camera, point);
  if (!p || !bend) return p;
  const [right, down] = bend(p[0], p[1]);
  return [p[0] + right, p[1] + down];
}

export interface MatOptions {
  tiles?: number;
  pageWidth?: number;
  /** how far a tile lies off its neighbour's line, mm, and how far it is turned, degrees; standard deviations */
  shift?: number;
  turn?: number;
  printScale?: { along: number; across: number };
  /** the tip lies at the last tile, so that the tiles count from butt to tip */
  tipAtLastTile?: boolean;
  seed?: number;
}

/** Tiles butted by hand along x, from a hand's breadth of paper beyond the tip at x = 0. */
export function layTiles(options: MatOptions = {}): Pick<World, 'tiles' | 'printScale'> {
  const { tiles: count = 4, pageWidth = 297, shift = 0.8, turn = 0.3, tipAtLastTile = false, seed = 1 } = options;
  const normal = seededNormal(seed);
  const margin = 30;
  const tiles = Array.from({ length: count }, (_, place): TilePlace => {
    const tile = tipAtLastTile ? count - 1 - place : place;
    return {
      tile,
      x: (place + 0.5) * pageWidth - margin + 0.4 * normal(),
      y: shift * normal(),
      yaw: (tipAtLastTile ? Math.PI : 0) + (turn * normal() * Math.PI) / 180,
    };
  });
  return { tiles: tiles.sort((a, b) => a.tile - b.tile), printScale: options.printScale ?? { along: 1, across: 1 } };
}

/** A camera at `from` that looks at `target`, its picture's right-hand side along `right` as far as that goes. */
export const lookAt = (intrinsics: Intrinsics, from: Vector3, target: Vector3, right: Vector3): Camera =>
  makeCamera(intrinsics, poseLooking(from, target, right));

export interface WalkOptions {
  photos?: number;
  /** x from and to, mm */
  from: number;
  to: number;
  /** mm over the bench */
  distance?: number;
  width?: number;
  height?: number;
  /** pixels */
  focal?: number;
  distortion?: Intrinsics['distortion'];
  /** photos taken upright (portrait) */
  portrait?: readonly number[];
  seed?: number;
}

/** A walk along the rod: even steps, each photo tilted another way, held by hand. */
export function walk(options: WalkOptions): WorldCamera[] {
  const { photos = 5, from, to, distance = 520, width = 4032, height = 3024 } = options;
  const focal = options.focal ?? 0.735 * Math.max(width, height);
  const uniform = seededUniform(options.seed ?? 7);
  const about = (size: number) => size * (2 * uniform() - 1);
  return Array.from({ length: photos }, (_, i) => {
    const portrait = options.portrait?.includes(i) ?? false;
    const [w, h] = portrait ? [height, width] : [width, height];
    const intrinsics: Intrinsics = {
      focal,
      // OpenCV's pixel (0, 0) is the first one's centre.
      centre: [(w - 1) / 2 + 0.004 * (portrait ? -h : w), (h - 1) / 2 - 0.003 * h],
      distortion: options.distortion ?? [0.03, -0.04, 0.0003, -0.0002, 0],
    };
    const x = photos === 1 ? (from + to) / 2 : from + ((to - from) * i) / (photos - 1);
    const tiltAcross = [0, -0.35, 0.35, 0][i % 4]! * distance + about(15);
    const tiltAlong = [0.25, 0, 0, -0.25][i % 4]! * distance + about(15);
    const eye: Vector3 = [x + tiltAlong, tiltAcross, distance + about(20)];
    const right: Vector3 = portrait ? [0.03, -1, 0] : [1, about(0.04), 0];
    return { camera: lookAt(intrinsics, eye, [x, about(8), 0], right), width: w, height: h };
  });
}

/** Where a point (u, v) of a tile's page truly lies, printed as it is. */
export function tilePointInWorld(world: World, tile: TilePlace, u: number, v: number): Vector3 {
  const c = Math.cos(tile.yaw);
  const s = Math.sin(tile.yaw);
  const p = u * world.printScale.along;
  const q = v * world.printScale.across;
  return [tile.x + c * p - s * q, tile.y + s * p + c * q, world.paper?.(tile.tile, u, v) ?? 0];
}

/** The four corners of a tag of the mat or the card in the world, mm. */
export function cornersInWorld(world: World, id: number): Vector3[] | undefined {
  const place = tagPlace(id);
  if (place) {
    const tile = world.tiles.find((t) => t.tile === place.tile);
    return tile && tagCorners(id)!.map(([u, v]) => tilePointInWorld(world, tile, u, v));
  }
  const card = world.card;
  const corners = seatCardCorners(id);
  if (!card || !corners) return undefined;
  const turn = rotationMatrix(card.rotation);
  const { along, across } = card.printScale ?? { along: 1, across: 1 };
  return corners.map(([u, v]) => add(transform(turn, [along * u, across * v, 0]), card.centre));
}

export interface Noise {
  /** standard deviation of a corner coordinate, pixels */
  corner: number;
  next: () => number;
}

/** The tags whose four corners one camera sees, read with noise. */
export function observeTags(world: World, shot: WorldCamera, noise?: Noise): Tag[] {
  const { width, height } = shot;
  const ids = [...world.tiles.flatMap((t) => tileTagIds(t.tile)), ...(world.card ? seatCard.ids : [])];
  return ids.flatMap((id): Tag[] => {
    const corners = cornersInWorld(world, id)!.map((p) => picture(shot, p));
    const margin = 4;
    const seen = (p: Pixel | undefined): p is Pixel =>
      p !== undefined && p[0] > margin && p[1] > margin && p[0] < width - margin && p[1] < height - margin;
    if (!corners.every(seen)) return [];
    const read = corners.map(
      (p): Pixel => (noise ? [p[0] + noise.corner * noise.next(), p[1] + noise.corner * noise.next()] : p),
    );
    return [{ id, corners: read as unknown as Tag['corners'], sigma: noise?.corner ?? 0 }];
  });
}

/** What each photo brings to the adjustment, the focal length known as EXIF knows it: 0.7 % wrong. */
export function observePhotos(world: World, noise?: Noise): TaggedPhoto[] {
  return world.cameras.map((shot, i) => ({
    file: `${i + 1}.jpg`,
    width: shot.width,
    height: shot.height,
    tags: observeTags(world, shot, noise),
    focalPrior: shot.camera.intrinsics.focal * 1.007,
    cameraKey: 'made-up camera',
  }));
}

/** The bars and the span as a rule and a tape without error read them. */
export function trueReadings(world: World, span?: { fromTag: number; toTag: number }): MatReadings {
  const { along, across } = world.printScale;
  const readings: MatReadings = { barAlong: barLength * along, barAcross: barLength * across };
  if (!span) return readings;
  const centreOf = (id: number) => {
    const c = cornersInWorld(world, id)!;
    return scale(add(add(c[0]!, c[1]!), add(c[2]!, c[3]!)), 0.25);
  };
  const [a, b] = [centreOf(span.fromTag), centreOf(span.toTag)];
  // Outer edge to outer edge: half a tag more at either end.
  return { ...readings, span: { ...span, length: Math.hypot(b[0] - a[0], b[1] - a[1]) + tagSide * along } };
}
