import { project } from '../geometry/camera.ts';
import type { Vector3 } from '../geometry/vector.ts';
import { holdPart } from '../photo/crop.ts';
import type { View } from './strip.ts';

/** Pixels round the box that is asked for: what looks at its outermost place looks a little beyond. */
const margin = 24;

/**
 * A view that holds, of all that its photo does, the picture of a box round a place (bench frame, `reach` mm to every
 * side): what is measured there goes over many photos again and again, and all of many would not find room in memory.
 * Undefined where its photo shows nothing of the box; the view as it is where the box goes round the camera.
 */
export function viewNear(view: View, [x, y, z]: Vector3, reach: number): View | undefined {
  const { camera, photo } = view;
  if (!project(camera, [x, y, z])) return undefined;
  const sides = [-reach, reach];
  const corners = sides.flatMap((dx) =>
    sides.flatMap((dy) => sides.map((dz) => project(camera, [x + dx, y + dy, z + dz]))),
  );
  const seen = corners.filter((corner) => corner !== undefined);
  if (seen.length < corners.length) return view;
  const [left, right] = extent(seen.map(([column]) => column));
  const [top, bottom] = extent(seen.map(([, row]) => row));
  if (right < 0 || bottom < 0 || left > photo.width || top > photo.height) return undefined;
  return { ...view, photo: holdPart(photo, { left, top, width: right - left, height: bottom - top }) };
}

const extent = (values: readonly number[]): [number, number] => [
  Math.floor(Math.min(...values)) - margin,
  Math.ceil(Math.max(...values)) + margin,
];
