import type { Pixel, Vector3 } from '../geometry/vector.ts';
import { heldOf, type Photo, type Rectangle } from '../photo/photo.ts';

/** A grey image, width x height, row by row, 0..255; where `held` is set `luma` is that part of it alone. */
export interface GreyImage {
  luma: Uint8Array;
  width: number;
  height: number;
  held?: Rectangle;
}

/**
 * What a sample is beyond the centres of the outermost pixels: `unknown` = NaN, for what must not be made up; `nearest`
 * = the border's own value, for what may run a little over it.
 */
export type Border = 'unknown' | 'nearest';

/** How far inside the last pixel's centre `nearest` reads, so that it has a neighbour. */
const inside = 1.001;

/** Numbers that a photo keeps for each of its pixels, width x height, row by row. */
export interface Plane {
  values: Uint8Array;
  width: number;
  height: number;
  border: Border;
}

/** Bilinear sample of a plane at a pixel place; (0, 0) = centre of the first pixel. */
export function samplePlane({ values, width, height, border }: Plane, x: number, y: number): number {
  return border === 'nearest' ? sampleNearest(values, width, height, x, y) : sampleInside(values, width, height, x, y);
}

const sampleNearest = (values: Uint8Array, width: number, height: number, x: number, y: number): number =>
  sampleInside(
    values,
    width,
    height,
    Math.min(Math.max(x, 0), width - inside),
    Math.min(Math.max(y, 0), height - inside),
  );

/** NaN beyond the centres of the outermost pixels. */
function sampleInside(values: Uint8Array, width: number, height: number, x: number, y: number): number {
  if (!(x >= 0 && y >= 0 && x < width - 1 && y < height - 1)) return Number.NaN;
  // whole numbers to the machine as well, which the index of a pixel has to be
  const ix = x | 0;
  const iy = y | 0;
  const fx = x - ix;
  const fy = y - iy;
  const i = iy * width + ix;
  const top = values[i]! + (values[i + 1]! - values[i]!) * fx;
  const bottom = values[i + width]! + (values[i + width + 1]! - values[i + width]!) * fx;
  return top + (bottom - top) * fy;
}

/**
 * Adds a plane's samples at `count` places along a line to `sums`, from `first` on. `line` = the first place and how
 * far it is to the next: x, y, dx, dy, pixels. As `samplePlane`, without a list or object a place.
 */
export function addAlongLine(plane: Plane, line: Float64Array, count: number, sums: Float64Array, first: number): void {
  if (!isInside(plane, line, count)) return addByPlaces(plane, line, count, sums, first);
  const { values, width } = plane;
  const x = line[0]!;
  const y = line[1]!;
  const dx = line[2]!;
  const dy = line[3]!;
  for (let i = 0; i < count; i++) {
    const cx = x + i * dx;
    const cy = y + i * dy;
    const column = cx | 0;
    const row = cy | 0;
    const a = cx - column;
    const b = cy - row;
    const k = row * width + column;
    const above = values[k]! + (values[k + 1]! - values[k]!) * a;
    const below = values[k + width]! + (values[k + width + 1]! - values[k + width]!) * a;
    sums[first + i]! += above + (below - above) * b;
  }
}

/** A photo's two colour planes, alike in size and border, or sums of what is sampled in them. */
export interface Coloured<T> {
  blue: T;
  red: T;
}

/** The same of both colour planes at once, each to its own sums: where a place lies is then told once for both. */
export function addColourAlongLine(
  { blue, red }: Coloured<Plane>,
  line: Float64Array,
  count: number,
  sums: Coloured<Float64Array>,
  first: number,
): void {
  if (!isInside(blue, line, count)) {
    addByPlaces(blue, line, count, sums.blue, first);
    return addByPlaces(red, line, count, sums.red, first);
  }
  const { values: blues, width } = blue;
  const { values: reds } = red;
  const { blue: ofBlue, red: ofRed } = sums;
  const x = line[0]!;
  const y = line[1]!;
  const dx = line[2]!;
  const dy = line[3]!;
  for (let i = 0; i < count; i++) {
    const cx = x + i * dx;
    const cy = y + i * dy;
    const column = cx | 0;
    const row = cy | 0;
    const a = cx - column;
    const b = cy - row;
    const k = row * width + column;
    const l = k + width;
    const blueAbove = blues[k]! + (blues[k + 1]! - blues[k]!) * a;
    const blueBelow = blues[l]! + (blues[l + 1]! - blues[l]!) * a;
    const redAbove = reds[k]! + (reds[k + 1]! - reds[k]!) * a;
    const redBelow = reds[l]! + (reds[l + 1]! - reds[l]!) * a;
    ofBlue[first + i]! += blueAbove + (blueBelow - blueAbove) * b;
    ofRed[first + i]! += redAbove + (redBelow - redAbove) * b;
  }
}

/** A line that runs over the plane's border: place by place. */
function addByPlaces(plane: Plane, line: Float64Array, count: number, sums: Float64Array, first: number): void {
  for (let i = 0; i < count; i++)
    sums[first + i]! += samplePlane(plane, line[0]! + i * line[2]!, line[1]! + i * line[3]!);
}

/** Whether all of a line's places have four neighbours in the plane. */
function isInside({ width, height, border }: Plane, line: Float64Array, count: number): boolean {
  const x = line[0]!;
  const y = line[1]!;
  const last = count - 1;
  const less = border === 'nearest' ? inside : 1;
  return isWithin(x, x + last * line[2]!, width - less) && isWithin(y, y + last * line[3]!, height - less);
}

/** Whether both ends of a line lie between nothing and a bound. */
const isWithin = (a: number, b: number, bound: number): boolean => a >= 0 && b >= 0 && a < bound && b < bound;

/** The half-size colour planes' coordinate for a full-size one: their pixel (0, 0) covers pixels 0 and 1. */
export const halfSize = (x: number): number => (x - 0.5) / 2;

/** Size of the half-size colour planes. */
export const colourSize = ({ width, height }: Pick<Photo, 'width' | 'height'>): { width: number; height: number } => ({
  width: (width + 1) >> 1,
  height: (height + 1) >> 1,
});

/** An image's luma, to sample at places of what is held of it; nothing is made up beyond. */
export function lumaPlane(image: GreyImage): Plane {
  const { width, height } = heldOf(image);
  return { values: image.luma, width, height, border: 'unknown' };
}

/** A photo's colour planes, to sample at half-size places. */
export function colourPlanes(photo: Photo, border: Border): Coloured<Plane> {
  const size = colourSize(heldOf(photo));
  return {
    blue: { values: photo.blueDifference, ...size, border },
    red: { values: photo.redDifference, ...size, border },
  };
}

/** Turns a line of full-size places (as `addAlongLine` takes it) into one of half-size places. */
export function halfSizeLine(line: Float64Array): void {
  line[0] = halfSize(line[0]!);
  line[1] = halfSize(line[1]!);
  line[2] = line[2]! / 2;
  line[3] = line[3]! / 2;
}

/**
 * Luma, Cb and Cr (0..255) of a photo at a place of its own pixels, bilinear; luma NaN outside of what is held of it.
 */
export function samplePhoto(photo: Photo, x: number, y: number): Vector3 {
  // As by the planes, without an object each: it is asked for millions of places.
  const { left, top, width, height } = heldOf(photo);
  const [half, high] = [(width + 1) >> 1, (height + 1) >> 1];
  const hx = halfSize(x - left);
  const hy = halfSize(y - top);
  return [
    sampleInside(photo.luma, width, height, x - left, y - top),
    sampleNearest(photo.blueDifference, half, high, hx, hy),
    sampleNearest(photo.redDifference, half, high, hx, hy),
  ];
}

/** Luma of a grey image at a place of its pixels, bilinear; NaN outside. */
export function sampleGrey(image: GreyImage, x: number, y: number): number {
  const { left, top, width, height } = heldOf(image);
  return sampleInside(image.luma, width, height, x - left, y - top);
}

/** Samples along a line: `count` values from `centre - reach` to `centre + reach` pixels in direction `normal`. */
export function sampleProfile(
  image: GreyImage,
  centre: Pixel,
  normal: Pixel,
  reach: number,
  count: number,
): Float64Array {
  const profile = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    const d = -reach + (2 * reach * k) / (count - 1);
    profile[k] = sampleGrey(image, centre[0] + d * normal[0], centre[1] + d * normal[1]);
  }
  return profile;
}

/** The image at half size: each pixel the mean of a 2 x 2 block, so its centre lies at (2x + 0.5, 2y + 0.5). */
export function halve(image: GreyImage): GreyImage {
  const width = image.width >> 1;
  const height = image.height >> 1;
  const luma = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    let a = 2 * y * image.width;
    let b = a + image.width;
    const row = y * width;
    for (let x = 0; x < width; x++, a += 2, b += 2)
      luma[row + x] = (image.luma[a]! + image.luma[a + 1]! + image.luma[b]! + image.luma[b + 1]! + 2) >> 2;
  }
  return { luma, width, height };
}
