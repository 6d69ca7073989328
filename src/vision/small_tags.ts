import type { TagQuad } from './opencv.ts';
import type { GreyImage } from './sampling.ts';

/**
 * Under this side (pixels, at half size: 3.5 a cell) the full image is searched as well: made smaller step by step,
 * twelve photos of mats lost their first tag at 26.
 */
const smallTag = 28;

/** A part of a photo, whole pixels; `right` and `bottom` are one past the last. */
export interface Region {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

/** How the sizes of tags tell where smaller ones may lie. */
const sizes = {
  /** so many tags tell how their size falls off across the photo */
  least: 8,
  /**
   * what a wave in the paper or an oblique view takes from a tag's shortest side at most, as a share of what is
   * expected
   */
  margin: 1.25,
  /** the photo is looked over in cells of this many pixels */
  cell: 64,
} as const;

/**
 * Where in the photo tags may be too small to show at half size, by how the size of those found falls off (the
 * logarithm of their sides as a plane over the photo, least squares); undefined where nowhere.
 */
export function smallTagRegion(quads: readonly TagQuad[], { width, height }: GreyImage): Region | undefined {
  const whole = { left: 0, top: 0, right: width, bottom: height };
  if (quads.length === 0) return whole;
  if (Math.min(...quads.map(shortestSide)) >= 2 * smallTag) return undefined;
  const sideAt = quads.length < sizes.least ? undefined : sidesOver(quads);
  if (!sideAt) return whole;
  let region: Region | undefined;
  for (let top = 0; top < height; top += sizes.cell) {
    for (let left = 0; left < width; left += sizes.cell) {
      const [right, bottom] = [Math.min(left + sizes.cell, width), Math.min(top + sizes.cell, height)];
      if (sideAt((left + right) / 2, (top + bottom) / 2) > 2 * smallTag * sizes.margin) continue;
      region = {
        left: Math.min(region?.left ?? left, left),
        top: Math.min(region?.top ?? top, top),
        right: Math.max(region?.right ?? right, right),
        bottom: Math.max(region?.bottom ?? bottom, bottom),
      };
    }
  }
  return region;
}

/** The side that a tag is expected to have at a place; undefined where those found lie in one line. */
function sidesOver(quads: readonly TagQuad[]): ((x: number, y: number) => number) | undefined {
  const seen = quads.map((quad) => ({
    x: quad.corners.reduce((sum, [x]) => sum + x / 4, 0),
    y: quad.corners.reduce((sum, [, y]) => sum + y / 4, 0),
    side: Math.log(shortestSide(quad)),
  }));
  const mean = (pick: (tag: (typeof seen)[number]) => number) =>
    seen.reduce((sum, tag) => sum + pick(tag), 0) / seen.length;
  const [mx, my, middle] = [mean(({ x }) => x), mean(({ y }) => y), mean(({ side }) => side)];
  const [xx, xy, yy] = [
    mean(({ x }) => (x - mx) ** 2),
    mean(({ x, y }) => (x - mx) * (y - my)),
    mean(({ y }) => (y - my) ** 2),
  ];
  const [xs, ys] = [
    mean(({ x, side }) => (x - mx) * (side - middle)),
    mean(({ y, side }) => (y - my) * (side - middle)),
  ];
  const determinant = xx * yy - xy * xy;
  if (!(determinant > 1e-3 * xx * yy)) return undefined;
  const [byX, byY] = [(yy * xs - xy * ys) / determinant, (xx * ys - xy * xs) / determinant];
  return (x, y) => Math.exp(middle + byX * (x - mx) + byY * (y - my));
}

/** The shortest of a tag's four sides, pixels. */
export const shortestSide = (quad: TagQuad): number =>
  Math.min(
    ...quad.corners.map((corner, i) => {
      const next = quad.corners[(i + 1) & 3]!;
      return Math.hypot(next[0] - corner[0], next[1] - corner[1]);
    }),
  );
