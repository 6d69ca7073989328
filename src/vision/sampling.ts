import type { Pixel } from '../geometry/vector.ts';

/** A grey image, width x height, row by row, 0..255. */
export interface GreyImage {
  luma: Uint8Array;
  width: number;
  height: number;
}

/** Bilinear sample at a pixel position ((0, 0) = centre of the first pixel); NaN outside the image. */
export function sampleGrey(image: GreyImage, x: number, y: number): number {
  const i = Math.floor(x);
  const j = Math.floor(y);
  if (!(i >= 0 && j >= 0 && i < image.width - 1 && j < image.height - 1)) return Number.NaN;
  const a = x - i;
  const b = y - j;
  const at = j * image.width + i;
  const { luma, width } = image;
  return (
    (luma[at]! * (1 - a) + luma[at + 1]! * a) * (1 - b) + (luma[at + width]! * (1 - a) + luma[at + width + 1]! * a) * b
  );
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
