import type { Pixel } from '../geometry/vector.ts';
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
  /**
   * how far beside the band of those found others may lie, as a share of its breadth: pages taped on askew by 3 degrees
   * for 1.7 m
   */
  beside: 0.5,
  /**
   * found in one line, this share across it to along it and less, they tell no fall-off (squared correlation's rest)
   */
  leastBreadth: 1e-3,
} as const;

/**
 * Where in the photo tags may be too small to show at half size, by how the size of those found falls off (the
 * logarithm of their sides as a plane over the photo, least squares), and no farther beside them than a page may lie;
 * undefined where nowhere.
 */
export function smallTagRegion(quads: readonly TagQuad[], { width, height }: GreyImage): Region | undefined {
  const whole = { left: 0, top: 0, right: width, bottom: height };
  if (quads.length === 0) return whole;
  if (Math.min(...quads.map(shortestSide)) >= 2 * smallTag) return undefined;
  const sideAt = quads.length < sizes.least ? undefined : sidesOver(quads);
  if (!sideAt) return whole;
  const mayHoldPage = bandOver(quads);
  let region: Region | undefined;
  for (let top = 0; top < height; top += sizes.cell) {
    for (let left = 0; left < width; left += sizes.cell) {
      const [right, bottom] = [Math.min(left + sizes.cell, width), Math.min(top + sizes.cell, height)];
      const middle: Pixel = [(left + right) / 2, (top + bottom) / 2];
      if (sideAt(...middle) > 2 * smallTag * sizes.margin || !mayHoldPage(...middle)) continue;
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
  const seen = quads.map((quad) => {
    const [x, y] = centreOf(quad);
    return { x, y, side: Math.log(shortestSide(quad)) };
  });
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
  if (!(determinant > sizes.leastBreadth * xx * yy)) return undefined;
  const [byX, byY] = [(yy * xs - xy * ys) / determinant, (xx * ys - xy * xs) / determinant];
  return (x, y) => Math.exp(middle + byX * (x - mx) + byY * (y - my));
}

/**
 * Whether a page in line with those whose tags were found may show at a place: the band of the tags, along their main
 * direction, with `sizes.beside` of its breadth on either side.
 */
function bandOver(quads: readonly TagQuad[]): (x: number, y: number) => boolean {
  const centres = quads.map(centreOf);
  const mx = centres.reduce((sum, [x]) => sum + x, 0) / centres.length;
  const my = centres.reduce((sum, [, y]) => sum + y, 0) / centres.length;
  const sum = (of: (x: number, y: number) => number) => centres.reduce((s, [x, y]) => s + of(x - mx, y - my), 0);
  const turn =
    Math.atan2(
      2 * sum((x, y) => x * y),
      sum((x, y) => x * x - y * y),
    ) / 2;
  const aside = (x: number, y: number): number => (y - my) * Math.cos(turn) - (x - mx) * Math.sin(turn);
  const corners = quads.flatMap((quad) => quad.corners.map(([x, y]) => aside(x, y)));
  const [least, most] = [Math.min(...corners), Math.max(...corners)];
  const beside = sizes.beside * (most - least) + sizes.cell;
  return (x, y) => aside(x, y) > least - beside && aside(x, y) < most + beside;
}

const centreOf = ({ corners }: TagQuad): Pixel => [
  corners.reduce((sum, [x]) => sum + x / 4, 0),
  corners.reduce((sum, [, y]) => sum + y / 4, 0),
];

/** The shortest of a tag's four sides, pixels. */
export const shortestSide = (quad: TagQuad): number =>
  Math.min(
    ...quad.corners.map((corner, i) => {
      const next = quad.corners[(i + 1) & 3]!;
      return Math.hypot(next[0] - corner[0], next[1] - corner[1]);
    }),
  );
