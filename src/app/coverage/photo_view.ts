import { cameraCentre, makeCamera } from '../../geometry/camera.ts';
import { fitHomography, poseFromHomography } from '../../geometry/homography.ts';
import type { Pixel } from '../../geometry/vector.ts';
import { type PaperName, paperSizes, tagCorners, tagPlace, tagsPerRow } from '../../mat/tile.ts';
import type { SeenTag } from '../../photo/edge_blur.ts';

/** Columns of tags counted over the whole mat, five a tile, the tip's tile first; both ends belong to it. */
export interface Columns {
  from: number;
  to: number;
}

/** Which stretch of the mat a photo shows, and from where. */
export interface PhotoView {
  /**
   * the columns between which both rows of tags were read: the lane between them shows; absent when one row is missing
   */
  columns?: Columns;
  /** degrees from straight above, seen along the rod; positive where the camera stands on the top row's side */
  tilt?: number;
  /** mm from the paper to the camera */
  height?: number;
  /** mm along the mat from the middle of its first tile to where the camera stands over it */
  along?: number;
}

/** A phone's main camera sees about 67 degrees: its focal length is this share of the photo's longer side. */
const usualFocal = 0.75;

/**
 * What a photo or frame shows of the mat, good enough to guide by: tiles are taken as butted edge to edge and the lens
 * as free of distortion.
 */
export function photoView(
  image: { width: number; height: number; focal?: number; tags: readonly SeenTag[] },
  paper: PaperName,
): PhotoView {
  const rows = { top: [] as number[], bottom: [] as number[] };
  const plane: Pixel[] = [];
  const seen: Pixel[] = [];
  const focal = image.focal ?? usualFocal * Math.max(image.width, image.height);
  for (const { id, corners } of image.tags) {
    const place = tagPlace(id);
    if (!place) continue;
    rows[place.row].push(columnOf(id, place.tile));
    for (const [u, v] of tagCorners(id)!) plane.push([u + place.tile * paperSizes[paper].width, v]);
    for (const [x, y] of corners)
      seen.push([(x - (image.width - 1) / 2) / focal, (y - (image.height - 1) / 2) / focal]);
  }
  const from = Math.max(Math.min(...rows.top), Math.min(...rows.bottom));
  const to = Math.min(Math.max(...rows.top), Math.max(...rows.bottom));
  return {
    ...(Number.isFinite(from) && Number.isFinite(to) && from <= to ? { columns: { from, to } } : {}),
    ...stance(plane, seen),
  };
}

const columnOf = (id: number, tile: number): number => tile * tagsPerRow + (id % tagsPerRow);

/** Four tags or more: from fewer the camera's place is too uncertain to speak of. */
const leastPoints = 16;

function stance(plane: readonly Pixel[], seen: readonly Pixel[]): Pick<PhotoView, 'tilt' | 'height' | 'along'> {
  const homography = plane.length >= leastPoints ? fitHomography(plane, seen) : undefined;
  if (!homography) return {};
  const camera = makeCamera({ focal: 1, centre: [0, 0], distortion: [0, 0, 0, 0, 0] }, poseFromHomography(homography));
  const [along, v, height] = cameraCentre(camera);
  return { tilt: (Math.atan2(v, Math.abs(height)) * 180) / Math.PI, height: Math.abs(height), along };
}
