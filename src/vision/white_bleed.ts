import type { Pixel } from '../geometry/vector.ts';
import { normalDensity, normalShareBelow } from '../numerics/normal_distribution.ts';
import { orderStatistic } from '../numerics/robust.ts';
import type { Photo } from '../photo/photo.ts';
import type { OutlinePoint } from './outline.ts';
import { sampleGrey } from './sampling.ts';
import type { Tag } from './tags.ts';

/** Levels of a picture on both sides of an edge, clear of its blur, 0..255: of the thing itself, and of its ground. */
export interface EdgeLevels {
  inside: number;
  ground: number;
}

const looks = {
  /** from the middle of a square's side toward its centre, and as far beyond it, as a share: half a cell */
  cell: 1 / 8,
  /** from the outline to both sides, pixels */
  outline: 3,
  /** rounds of the sum that a shift is told by: each brings it nearer by half and more */
  rounds: 30,
} as const;

/** Light of a level as pictures are coded (IEC 61966-2-1, sRGB), 0..1, and how its code bends dark tones up. */
const lightOf = (level: number): number => {
  const v = Math.min(Math.max(level, 0), 255) / 255;
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
};
const bend = 1 - 1 / 2.4;

/**
 * How far a blurred edge's steepest place lies inside the thing, in standard deviations of the blur. Light is blurred
 * before it is coded, and the code makes most of what little falls on a dark side: white bleeds over black, the less
 * the lighter that is. Where the thing is lighter than its ground it bleeds over that, and the shift is negative.
 *
 * It is where the logarithm of the slope is stationary: of the code's, E^-bend, and of a Gaussian's, for an edge from
 * dark D to light W that holds E = D + (W - D) Phi(x) at x.
 */
export function bleedShare({ inside, ground }: EdgeLevels): number {
  const [dark, light] = [lightOf(Math.min(inside, ground)), lightOf(Math.max(inside, ground))];
  if (!(light > dark)) return 0;
  let x = 0;
  for (let i = 0; i < looks.rounds; i++)
    x = (-bend * (light - dark) * normalDensity(x)) / (dark + (light - dark) * normalShareBelow(x));
  return inside < ground ? -x : x;
}

/** What a photo shows on both sides of its squares' edges; undefined where it shows none. */
export function squareLevels(photo: Photo, tags: readonly Pick<Tag, 'corners'>[]): EdgeLevels | undefined {
  const edges = tags.flatMap(({ corners }) => {
    const centre = middleOf(corners);
    return corners.map((corner, i): [Pixel, Pixel] => {
      const side = middleOf([corner, corners[(i + 1) % 4]!]);
      const aside = (share: number): Pixel => [
        side[0] + share * (centre[0] - side[0]),
        side[1] + share * (centre[1] - side[1]),
      ];
      return [aside(looks.cell), aside(-looks.cell)];
    });
  });
  return levelsAt(photo, edges);
}

/** The same of the blank's outline. */
export function outlineLevels(photo: Photo, points: readonly OutlinePoint[]): EdgeLevels | undefined {
  const aside = ({ pixel, normal }: OutlinePoint, by: number): Pixel => [
    pixel[0] + by * normal[0],
    pixel[1] + by * normal[1],
  ];
  return levelsAt(
    photo,
    points.map((point) => [aside(point, -looks.outline), aside(point, looks.outline)]),
  );
}

function levelsAt(photo: Photo, places: readonly [Pixel, Pixel][]): EdgeLevels | undefined {
  const seen = places
    .map(([[ix, iy], [gx, gy]]) => [sampleGrey(photo, ix, iy), sampleGrey(photo, gx, gy)] as const)
    .filter(([inside, ground]) => Number.isFinite(inside) && Number.isFinite(ground));
  const middle = (which: 0 | 1) =>
    orderStatistic(
      seen.map((pair) => pair[which]),
      0.5,
    );
  const [inside, ground] = [middle(0), middle(1)];
  return inside === undefined || ground === undefined ? undefined : { inside, ground };
}

const middleOf = (points: readonly Pixel[]): Pixel => [
  points.reduce((sum, [x]) => sum + x, 0) / points.length,
  points.reduce((sum, [, y]) => sum + y, 0) / points.length,
];
