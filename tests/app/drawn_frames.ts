import type { FrameLook } from '../../src/app/workers/tag_tasks.ts';
import { makeCamera, project } from '../../src/geometry/camera.ts';
import { rotationVector } from '../../src/geometry/rotation.ts';
import { cross, type Pixel, scale, subtract, transform, unit, type Vector3 } from '../../src/geometry/vector.ts';
import { type PaperName, paperSizes, tagCorners, tagPlace, tileTagIds } from '../../src/mat/tile.ts';
import { pixelsPerMillimetre, type SeenTag } from '../../src/photo/edge_blur.ts';

/**
 * Tags of a mat of butted tiles as a camera at `eye` sees them that looks at `target`, mm in the first tile's frame.
 */
export function photographed(
  image: { width: number; height: number; focal: number },
  [eye, target]: [eye: Vector3, target: Vector3],
  paper: PaperName,
  tiles: number,
): SeenTag[] {
  const forward = unit(subtract(target, eye));
  const down: Vector3 = unit(subtract([0, -1, 0], scale(forward, -forward[1])));
  const right = cross(down, forward);
  const matrix = [...right, ...down, ...forward] as const;
  const pose = { rotation: rotationVector(matrix), translation: scale(transform(matrix, eye), -1) };
  const camera = makeCamera(
    { focal: image.focal, centre: [(image.width - 1) / 2, (image.height - 1) / 2], distortion: [0, 0, 0, 0, 0] },
    pose,
  );
  return Array.from({ length: tiles }, (_, tile) => tileTagIds(tile))
    .flat()
    .flatMap((id) => {
      const at = tagPlace(id)!.tile * paperSizes[paper].width;
      const corners = tagCorners(id)!.map(([u, v]) => project(camera, [u + at, v, 0]));
      const inside = corners.every(
        (corner) => corner && corner[0] > 0 && corner[0] < image.width && corner[1] > 0 && corner[1] < image.height,
      );
      return inside ? [{ id, corners: corners as unknown as readonly [Pixel, Pixel, Pixel, Pixel] }] : [];
    });
}

/** Where a drawn camera stands over the first tile's frame, mm; it looks at the rod straight across from it. */
export interface Stand {
  along: number;
  across: number;
  height: number;
}

/** A sharp frame of a phone's video over five butted A4 pages. */
export function frameFrom({ along, across, height }: Stand): FrameLook {
  const image = { width: 1280, height: 720, focal: 960 };
  const tags = photographed(
    image,
    [
      [along, across, height],
      [along, 0, 0],
    ],
    'A4',
    5,
  );
  const pixelsPerMm = pixelsPerMillimetre(tags);
  const { width } = image;
  return {
    width,
    height: image.height,
    tags,
    quality: { blur: 0.8, ...(pixelsPerMm !== undefined && { pixelsPerMm }), paper: 200, blownOut: 0, problems: [] },
  };
}
