import { type Intrinsics, type Pose, undistort } from '../geometry/camera.ts';
import { applyHomography, fitHomography, poseFromHomography } from '../geometry/homography.ts';
import { rotationMatrix, rotationVector } from '../geometry/rotation.ts';
import { add, type Matrix3, multiply, type Pixel, transform } from '../geometry/vector.ts';
import { tagCorners, tagPlace } from '../mat/tile.ts';
import type { Tag } from '../vision/tags.ts';
import type { PhotoIndex } from '../photo/photo.ts';

/** A tile on the bench: its centre (mm) and the turn of its u axis (radians) in the reference tile's frame. */
export interface TilePlace {
  tile: number;
  x: number;
  y: number;
  yaw: number;
}

/** A page as it lies: its place, and its paper's heights at the centres of its ten tags, mm. */
export interface TileShape extends TilePlace {
  heights: readonly number[];
}

export interface MatStart {
  /** the tile whose frame is the bench frame: the lowest-numbered of the connected ones */
  reference: number;
  tiles: Map<number, TilePlace>;
  /** one a photo; undefined where the photo shows no tile connected to the reference */
  poses: (Pose | undefined)[];
}

/** Tags a tile needs in a photo before the photo may link it to another. */
const tagsToLink = 2;

interface PhotoTile {
  photo: PhotoIndex;
  tile: number;
  tags: Tag[];
}

/**
 * First values for the adjustment, with no assumption on how the tiles lie: each photo gives the pose of its best-seen
 * tile by a homography and the places of its other tiles on the same plane; the photos are then chained from the
 * reference tile. The largest connected group of photos is kept.
 */
export function startMat(photos: readonly (readonly Tag[])[], intrinsics: readonly Intrinsics[]): MatStart | undefined {
  const seen: PhotoTile[][] = photos.map((tags, photo) => {
    const byTile = new Map<number, Tag[]>();
    for (const tag of tags) {
      const place = tagPlace(tag.id);
      if (place) byTile.set(place.tile, [...(byTile.get(place.tile) ?? []), tag]);
    }
    return [...byTile]
      .filter(([, own]) => own.length >= tagsToLink)
      .map(([tile, own]) => ({ photo, tile, tags: own }))
      .sort((a, b) => b.tags.length - a.tags.length);
  });
  // Within each photo: pose over its best tile, and every other tile in that tile's frame.
  const local = seen.map((tiles, i) => localPlaces(tiles, intrinsics[i]!));
  const groups = connect(seen);
  const best = groups.sort((a, b) => b.photos.size - a.photos.size || b.tiles.size - a.tiles.size)[0];
  if (!best || best.photos.size === 0) return undefined;
  const reference = Math.min(...best.tiles);
  const tiles = new Map<number, TilePlace>([[reference, { tile: reference, x: 0, y: 0, yaw: 0 }]]);
  const poses: (Pose | undefined)[] = photos.map(() => undefined);
  // Breadth first, always through the photo that shows a known tile best.
  const open = new Set(best.photos);
  while (open.size > 0) {
    let choice: { photo: PhotoIndex; via: TilePlace; count: number } | undefined;
    for (const photo of open) {
      for (const entry of seen[photo]!) {
        const via = tiles.get(entry.tile);
        if (via && entry.tags.length > (choice?.count ?? 0)) choice = { photo, via, count: entry.tags.length };
      }
    }
    if (!choice) break;
    open.delete(choice.photo);
    const here = local[choice.photo]!;
    const viaLocal = here.places.get(choice.via.tile)!;
    // reference-from-local in the plane
    const turn = choice.via.yaw - viaLocal.yaw;
    const c = Math.cos(turn);
    const s = Math.sin(turn);
    const shiftX = choice.via.x - (c * viaLocal.x - s * viaLocal.y);
    const shiftY = choice.via.y - (s * viaLocal.x + c * viaLocal.y);
    for (const place of here.places.values()) {
      if (tiles.has(place.tile)) continue;
      tiles.set(place.tile, {
        tile: place.tile,
        x: c * place.x - s * place.y + shiftX,
        y: s * place.x + c * place.y + shiftY,
        yaw: place.yaw + turn,
      });
    }
    // camera-from-reference = camera-from-local after local-from-reference
    const localFromReference: Matrix3 = [c, s, 0, -s, c, 0, 0, 0, 1];
    const origin = transform(localFromReference, [-shiftX, -shiftY, 0]);
    const cameraFromLocal = rotationMatrix(here.pose.rotation);
    poses[choice.photo] = {
      rotation: rotationVector(multiply(cameraFromLocal, localFromReference)),
      translation: add(transform(cameraFromLocal, origin), here.pose.translation),
    };
  }
  return { reference, tiles, poses };
}

function localPlaces(tiles: PhotoTile[], intrinsics: Intrinsics): { pose: Pose; places: Map<number, TilePlace> } {
  const places = new Map<number, TilePlace>();
  const none: Pose = { rotation: [0, 0, 0], translation: [0, 0, 1] };
  const base = tiles[0];
  if (!base) return { pose: none, places };
  const corners = (entry: PhotoTile) => ({
    plane: entry.tags.flatMap((tag) => [...tagCorners(tag.id)!]) as Pixel[],
    image: entry.tags.flatMap((tag) => tag.corners.map((corner) => undistort(intrinsics, corner))),
  });
  const own = corners(base);
  const h = fitHomography(own.plane, own.image);
  const back = h && fitHomography(own.image, own.plane);
  if (!h || !back) return { pose: none, places };
  places.set(base.tile, { tile: base.tile, x: 0, y: 0, yaw: 0 });
  for (const entry of tiles.slice(1)) {
    const other = corners(entry);
    const onPlane = other.image.map((p) => applyHomography(back, p));
    places.set(entry.tile, { tile: entry.tile, ...rigid(other.plane, onPlane) });
  }
  return { pose: poseFromHomography(h), places };
}

/** The turn and shift that carry plane points onto others, least squares. */
function rigid(from: readonly Pixel[], to: readonly Pixel[]): { x: number; y: number; yaw: number } {
  const mean = (points: readonly Pixel[], i: 0 | 1) => points.reduce((s, p) => s + p[i], 0) / points.length;
  const [fx, fy, tx, ty] = [mean(from, 0), mean(from, 1), mean(to, 0), mean(to, 1)];
  let cosine = 0;
  let sine = 0;
  for (let i = 0; i < from.length; i++) {
    const [a, b] = [from[i]![0] - fx, from[i]![1] - fy];
    const [c, d] = [to[i]![0] - tx, to[i]![1] - ty];
    cosine += a * c + b * d;
    sine += a * d - b * c;
  }
  const yaw = Math.atan2(sine, cosine);
  return {
    yaw,
    x: tx - (Math.cos(yaw) * fx - Math.sin(yaw) * fy),
    y: ty - (Math.sin(yaw) * fx + Math.cos(yaw) * fy),
  };
}

/** Groups of photos and tiles that hang together. */
function connect(seen: PhotoTile[][]): { photos: Set<number>; tiles: Set<number> }[] {
  let groups: { photos: Set<number>; tiles: Set<number> }[] = [];
  seen.forEach((tiles, photo) => {
    if (tiles.length === 0) return;
    const own = { photos: new Set([photo]), tiles: new Set(tiles.map((t) => t.tile)) };
    const apart = groups.filter((g) => [...own.tiles].every((t) => !g.tiles.has(t)));
    for (const g of groups) {
      if (apart.includes(g)) continue;
      for (const p of g.photos) own.photos.add(p);
      for (const t of g.tiles) own.tiles.add(t);
    }
    groups = [...apart, own];
  });
  return groups;
}
