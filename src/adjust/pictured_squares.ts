import { type Camera, project } from '../geometry/camera.ts';
import type { FieldGrid } from '../geometry/lens_field.ts';
import { rotationMatrix } from '../geometry/rotation.ts';
import { add, type Pixel, transform, type Vector3 } from '../geometry/vector.ts';
import { border, isInPhoto } from '../geometry/in_photo.ts';
import { seatCard, seatCardCorners, tagCorners, tileTagIds } from '../mat/tile.ts';
import type { Tag } from '../vision/tags.ts';
import { type MatSolution, tilePoint } from './mat_summary.ts';

/** Squares nearer the picture's edge than this share of its width are not counted on. */
const margin = 0.02;

/** A square of the mat or the seat card: its corners on the bench, mm; `tile` undefined on the card. */
export interface Square {
  id: number;
  tile?: number;
  points: readonly Vector3[];
}

/** Every square of the mat as it lies, and of the seat card where it lies on it. */
export function squaresOf(mat: MatSolution): Square[] {
  const squares = mat.tiles.flatMap((tile): Square[] =>
    tileTagIds(tile.tile).map((id) => ({
      id,
      tile: tile.tile,
      points: tagCorners(id)!.map((at) => tilePoint(mat, tile, at)),
    })),
  );
  if (!mat.card || mat.index.card === undefined) return squares;
  const { rotation, centre } = mat.card;
  const turn = rotationMatrix(rotation);
  const onCard = seatCard.ids.map(
    (id): Square => ({ id, points: seatCardCorners(id)!.map(([u, v]) => add(transform(turn, [u, v, 0]), centre)) }),
  );
  return [...squares, ...onCard];
}

/** A square as a photo would show it; undefined where it is not wholly in the picture. */
export function pictured(id: number, points: readonly Vector3[], lens: Camera, grid: FieldGrid): Tag | undefined {
  const corners: Pixel[] = [];
  for (const point of points) {
    const corner = pictureOf(lens, grid, point);
    if (!corner) return undefined;
    corners.push(corner);
  }
  return { id, corners: corners as unknown as Tag['corners'], sigma: 0 };
}

/** Where a bench point (mm) shows in a photo, clear of its edge. */
export function pictureOf(camera: Camera, photo: { width: number; height: number }, point: Vector3) {
  const p = project(camera, point);
  return p && isInPhoto(photo, p, border(margin * Math.max(photo.width, photo.height))) ? p : undefined;
}
