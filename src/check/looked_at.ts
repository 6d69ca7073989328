import { axisPoint, type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { type Camera, project } from '../geometry/camera.ts';
import { applyHomography, fitHomography } from '../geometry/homography.ts';
import { addScaled, type Pixel, type Vector3 } from '../geometry/vector.ts';
import { laneHalfWidth, tagCorners, tagPlace } from '../mat/tile.ts';
import type { Photo, Rectangle } from '../photo/photo.ts';
import { type Lane, lanePoint } from '../vision/lane.ts';
import type { Tag } from '../vision/tags.ts';

/** What of a photo the measuring looks at once its squares are read. */
const looks = {
  /** the finder's picture of the lane takes in a little of the squares: half its width on the paper, mm */
  lane: laneHalfWidth + 8,
  /** before the cameras stand it is told from the squares as flat paper: what lies higher shows a little farther out */
  unplaced: laneHalfWidth + 18,
  /** from a page's centre along the lane to half a neighbour beyond its end, mm */
  along: 200,
  /** rings stand off the axis, and noise is read round them: mm to both sides, at its height */
  rod: 52,
  /** white paper is read beside the blank, mm to both sides, on the paper */
  paper: 44,
  /** mm between the places that are told, and how far beyond the photo one may lie, as a share of it */
  spacing: 20,
  beyond: 0.15,
  /** pixels round it all, for the breadth of walks and blur */
  margin: 12,
} as const;

type Size = Pick<Photo, 'width' | 'height'>;

const steps = (from: number, to: number): number[] =>
  Array.from({ length: Math.ceil((to - from) / looks.spacing) + 1 }, (_, i) => Math.min(from + i * looks.spacing, to));

/** The rectangle round the points that show, or nearly: a pixel at least. */
function around(points: readonly (Pixel | undefined)[], { width, height }: Size): Rectangle | undefined {
  const [aside, above] = [looks.beyond * width, looks.beyond * height];
  const near = points.flatMap((p) =>
    p && p[0] > -aside && p[1] > -above && p[0] < width + aside && p[1] < height + above ? [p] : [],
  );
  if (near.length === 0) return undefined;
  const clipped = (value: number, size: number) => Math.min(Math.max(Math.round(value), 0), size);
  const xs = near.map(([x]) => x);
  const ys = near.map(([, y]) => y);
  const left = clipped(Math.min(...xs) - looks.margin, width - 1);
  const top = clipped(Math.min(...ys) - looks.margin, height - 1);
  return {
    left,
    top,
    width: Math.max(clipped(Math.max(...xs) + looks.margin, width) - left, 1),
    height: Math.max(clipped(Math.max(...ys) + looks.margin, height) - top, 1),
  };
}

/** The lane between the rows of squares, by the squares alone; undefined where no page's squares show. */
export function laneBySquares(tags: readonly Tag[], size: Size): Rectangle | undefined {
  const pages = new Map<number | undefined, Tag[]>();
  for (const tag of tags) {
    const tile = tagPlace(tag.id)?.tile;
    pages.set(tile, [...(pages.get(tile) ?? []), tag]);
  }
  const points = [...pages].flatMap(([tile, own]) => {
    if (tile === undefined) return [];
    const picture = fitHomography(
      own.flatMap(({ id }) => tagCorners(id)!.map(([u, v]): Pixel => [u, v])),
      own.flatMap(({ corners }) => corners),
    );
    if (!picture) return [];
    const ahead = ([u, v]: Pixel) => picture[6] * u + picture[7] * v + picture[8] > 0;
    return steps(-looks.along, looks.along)
      .flatMap((u) => steps(-looks.unplaced, looks.unplaced).map((v): Pixel => [u, v]))
      .map((at) => (ahead(at) ? applyHomography(picture, at) : undefined));
  });
  return around(points, size);
}

/** The lane as a camera has it, from the paper to where the blank lies (`height`, mm over the paper). */
export function laneInView(camera: Camera, lane: Lane, height: number, size: Size): Rectangle | undefined {
  const points = steps(lane.from, lane.to).flatMap((t) =>
    [-1, 0, 1].flatMap((side) => [
      project(camera, lanePoint(lane, t, side * looks.lane, 0)),
      project(camera, lanePoint(lane, t, side * laneHalfWidth, height)),
    ]),
  );
  return around(points, size);
}

/** The rod with all that stands on it and the paper beside it, as a camera has it. */
export function rodInView(camera: Camera, axis: BlankAxis, size: Size): Rectangle | undefined {
  const last = axis.from + (axis.points.length - 1) * axis.step;
  const points = steps(axis.from, last).flatMap((s) => {
    const { right } = crossSection(axis, s);
    const at = axisPoint(axis, s);
    return [-1, 1].flatMap((side) => {
      const [x, y] = addScaled(at, right, side * looks.paper);
      const beside: Vector3[] = [addScaled(at, right, side * looks.rod), [x, y, 0]];
      return beside.map((point) => project(camera, point));
    });
  });
  return around(points, size);
}
