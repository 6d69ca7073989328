import type { Pixel } from '../geometry/vector.ts';
import { seatCard, tagCells, tagSide } from '../mat/tile.ts';
import { orderStatistic } from '../numerics/robust.ts';

/** Luma, row by row, 0..255: a whole photo or a small frame from a camera. */
export interface LumaImage {
  width: number;
  height: number;
  luma: Uint8Array | Uint8ClampedArray;
}

/**
 * A tag seen in the image: corners of its black square in the tag's own order, pixels; a pixel's error does no harm.
 */
export interface SeenTag {
  id: number;
  corners: readonly [Pixel, Pixel, Pixel, Pixel];
}

/** The blur of one edge as the standard deviation of a Gaussian (pixels), and the levels on its two sides. */
export interface EdgeBlur {
  sigma: number;
  dark: number;
  light: number;
  /** whether the edge runs mostly up and down the image, and so shows blur to the left and right */
  upright: boolean;
}

const samplesPerPixel = 2;

/**
 * Blur at the borders of tags: each border is crossed at five places, from within the black cells to the paper.
 */
export function tagEdgeBlur(image: LumaImage, tags: readonly SeenTag[]): EdgeBlur[] {
  const found: EdgeBlur[] = [];
  for (const { corners } of tags) {
    for (let i = 0; i < 4; i++) {
      const a = corners[i]!;
      const b = corners[(i + 1) % 4]!;
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      if (length < 2 * tagCells) continue;
      // Corners run clockwise in the image (y down), so this points away from the black.
      const outward: Pixel = [(b[1] - a[1]) / length, -(b[0] - a[0]) / length];
      const reach = Math.max(3, (0.9 * length) / tagCells);
      for (const share of [0.2, 0.35, 0.5, 0.65, 0.8]) {
        const middle: Pixel = [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])];
        const edge = blurOfStep(profileAcross(image, middle, outward, reach));
        if (edge) found.push({ ...edge, upright: Math.abs(outward[0]) > Math.abs(outward[1]) });
      }
    }
  }
  return found;
}

/** Luma (bilinear) from `reach` pixels inside to `reach` outside; undefined where it leaves the image. */
function profileAcross(image: LumaImage, middle: Pixel, outward: Pixel, reach: number): number[] | undefined {
  const steps = Math.ceil(reach * samplesPerPixel);
  const profile: number[] = [];
  for (let i = -steps; i <= steps; i++) {
    const x = middle[0] + (i / samplesPerPixel) * outward[0];
    const y = middle[1] + (i / samplesPerPixel) * outward[1];
    const column = Math.floor(x);
    const row = Math.floor(y);
    if (column < 0 || row < 0 || column + 1 >= image.width || row + 1 >= image.height) return undefined;
    const at = row * image.width + column;
    const [p, q] = [x - column, y - row];
    const above = image.luma[at]! * (1 - p) + image.luma[at + 1]! * p;
    const below = image.luma[at + image.width]! * (1 - p) + image.luma[at + image.width + 1]! * p;
    profile.push(above * (1 - q) + below * q);
  }
  return profile;
}

function blurOfStep(profile: number[] | undefined): Omit<EdgeBlur, 'upright'> | undefined {
  if (!profile) return undefined;
  const end = Math.max(2, Math.floor(profile.length / 6));
  const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  const dark = mean(profile.slice(0, end));
  const light = mean(profile.slice(-end));
  // The base grows until the step fills a good part of it: on a short one noise would pass for a steep edge.
  for (let base = 1; 4 * base * samplesPerPixel < 3 * profile.length; base *= 2) {
    let greatest = 0;
    for (let i = base * samplesPerPixel; i < profile.length; i++)
      greatest = Math.max(greatest, profile[i]! - profile[i - base * samplesPerPixel]!);
    const sigma = sigmaOfStep(greatest / (light - dark), base);
    if (sigma !== undefined && sigma < base) return { sigma, dark, light };
  }
  return undefined;
}

/**
 * Standard deviation of the Gaussian that blurred a step, from the greatest change over `base` pixels as a share of the
 * whole step: erf(base / (2 sqrt(2) sigma)). The error function's inverse is Winitzki's (2008), good to 0.2 %.
 */
function sigmaOfStep(share: number, base: number): number | undefined {
  if (!(share > 0)) return undefined;
  const log = Math.log(1 - Math.min(share, 0.999) ** 2);
  const a = 0.147;
  const half = 2 / (Math.PI * a) + log / 2;
  return base / (2 * Math.SQRT2 * Math.sqrt(Math.sqrt(half * half - log / a) - half));
}

/**
 * Blur at the strongest edges anywhere, for an image in which no tag was read: rows and columns are searched for
 * monotonic steps of at least 50 grey levels (after Marziliano, Dufaux, Winkler and Ebrahimi 2002, who take the
 * step's extent; here its greatest change from pixel to pixel).
 */
export function strongEdgeBlur(image: LumaImage): EdgeBlur[] {
  const { width, height, luma } = image;
  const found: EdgeBlur[] = [];
  const lines = 120;
  for (let k = 0; k < lines; k++) {
    const row = Math.floor(((k + 0.5) * height) / lines);
    found.push(...stepsAlong(luma, { start: row * width, stride: 1, count: width, upright: true }));
    const column = Math.floor(((k + 0.5) * width) / lines);
    found.push(...stepsAlong(luma, { start: column, stride: width, count: height, upright: false }));
  }
  return found;
}

const leastStep = 50;

/** A row or column of an image: its first pixel's index, how far it is to the next, how many there are. */
interface PixelLine {
  start: number;
  stride: number;
  count: number;
  /** whether steps along it are upright edges */
  upright: boolean;
}

function stepsAlong(luma: Uint8Array | Uint8ClampedArray, { start, stride, count, upright }: PixelLine): EdgeBlur[] {
  const found: EdgeBlur[] = [];
  let from = luma[start]!;
  let before = from;
  let direction = 0;
  let steepest = 0;
  for (let i = 1; i <= count; i++) {
    const value = i < count ? luma[start + i * stride]! : before;
    const change = value - before;
    // A pause or a turn ends the step; a grey level of noise does not.
    if (i < count && Math.abs(change) > 1 && Math.sign(change) === direction) {
      steepest = Math.max(steepest, Math.abs(change));
    } else {
      const height = Math.abs(before - from);
      const sigma = sigmaOfStep(steepest / height, 1);
      if (direction !== 0 && height >= leastStep && sigma !== undefined) {
        found.push({
          sigma,
          dark: Math.min(before, from),
          light: Math.max(before, from),
          upright,
        });
      }
      from = before;
      direction = Math.abs(change) > 1 ? Math.sign(change) : 0;
      steepest = Math.abs(change);
    }
    before = value;
  }
  return found;
}

/** Pixels a millimetre on the paper by the tags' mean side, or undefined without tags. */
export function pixelsPerMillimetre(tags: readonly SeenTag[]): number | undefined {
  const scales = tags.map(({ id, corners }) => {
    let around = 0;
    corners.forEach(([x, y], i) => {
      const next = corners[(i + 1) % 4]!;
      around += Math.hypot(next[0] - x, next[1] - y);
    });
    const onCard = seatCard.ids.some((own) => own === id);
    return around / 4 / (onCard ? seatCard.tagSide : tagSide);
  });
  return orderStatistic(scales, 0.5);
}
