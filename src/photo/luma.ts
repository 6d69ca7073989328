import type { Photo } from './photo.ts';

/** What a colour difference's byte holds where there is no colour. */
export const noColour = 128;

/** Levels of red, green and blue by luma and the differences less `noColour` (ITU-R BT.601, full range, as in JFIF). */
export const redOf = (luma: number, red: number): number => luma + 1.402 * red;
export const greenOf = (luma: number, blue: number, red: number): number => luma - 0.344136 * blue - 0.714136 * red;
export const blueOf = (luma: number, blue: number): number => luma + 1.772 * blue;

/** The planes of a photo of this size, still empty. */
export function emptyPhoto(file: string, width: number, height: number): Photo {
  const half = Math.ceil(width / 2) * Math.ceil(height / 2);
  return {
    file,
    width,
    height,
    luma: new Uint8Array(width * height),
    blueDifference: new Uint8Array(half),
    redDifference: new Uint8Array(half),
  };
}

/**
 * Writes one band of decoded pixels into the photo's planes.
 *
 * @param pixels `rows` x photo.width pixels of `channels` bytes, starting at the photo's row `firstRow`: R G B (and a
 *   fourth byte, not read), or one grey byte
 * @param firstRow even, so that no pair of rows is split between two bands
 *
 * Method: ITU-R BT.601 luma and colour differences over the full range, as JFIF (ITU-T T.871) has them, in 16-bit fixed
 * point as libjpeg does; the colour differences are those of the mean of each block of up to 2 x 2 pixels.
 */
export function writeBand(
  photo: Photo,
  pixels: Uint8Array | Uint8ClampedArray,
  channels: 1 | 3 | 4,
  firstRow: number,
  rows: number,
): void {
  if (channels === 1) writeGreyBand(photo, pixels, firstRow, rows);
  else writeColourBand(photo, pixels, channels, firstRow, rows);
}

function writeGreyBand(photo: Photo, pixels: Uint8Array | Uint8ClampedArray, firstRow: number, rows: number): void {
  const halfWidth = Math.ceil(photo.width / 2);
  photo.luma.set(pixels.subarray(0, rows * photo.width), firstRow * photo.width);
  const from = (firstRow / 2) * halfWidth;
  const to = Math.ceil((firstRow + rows) / 2) * halfWidth;
  photo.blueDifference.fill(noColour, from, to);
  photo.redDifference.fill(noColour, from, to);
}

function writeColourBand(
  photo: Photo,
  pixels: Uint8Array | Uint8ClampedArray,
  channels: 3 | 4,
  firstRow: number,
  rows: number,
): void {
  const { width, luma, blueDifference, redDifference } = photo;
  const halfWidth = Math.ceil(width / 2);
  for (let row = 0; row < rows; row += 2) {
    // An odd last row or column pairs with itself.
    const below = row + 1 < rows ? width : 0;
    let lumaAt = (firstRow + row) * width;
    let colourAt = ((firstRow + row) >> 1) * halfWidth;
    let i = row * width * channels;
    const rowStep = below * channels;
    for (let column = 0; column < width; column += 2, colourAt++) {
      const beside = column + 1 < width ? 1 : 0;
      let j = i;
      const r0 = pixels[j]!;
      const g0 = pixels[j + 1]!;
      const b0 = pixels[j + 2]!;
      j = i + rowStep;
      const r1 = pixels[j]!;
      const g1 = pixels[j + 1]!;
      const b1 = pixels[j + 2]!;
      j = i + beside * channels;
      const r2 = pixels[j]!;
      const g2 = pixels[j + 1]!;
      const b2 = pixels[j + 2]!;
      j += rowStep;
      const r3 = pixels[j]!;
      const g3 = pixels[j + 1]!;
      const b3 = pixels[j + 2]!;
      luma[lumaAt] = (19595 * r0 + 38470 * g0 + 7471 * b0 + 32768) >> 16;
      luma[lumaAt + below] = (19595 * r1 + 38470 * g1 + 7471 * b1 + 32768) >> 16;
      luma[lumaAt + beside] = (19595 * r2 + 38470 * g2 + 7471 * b2 + 32768) >> 16;
      luma[lumaAt + below + beside] = (19595 * r3 + 38470 * g3 + 7471 * b3 + 32768) >> 16;
      const r = r0 + r1 + r2 + r3;
      const g = g0 + g1 + g2 + g3;
      const b = b0 + b1 + b2 + b3;
      // 16 fractional bits and two more for the sum of four; 255 is the most the rounding may reach.
      blueDifference[colourAt] = Math.min(noColour + ((-11059 * r - 21709 * g + 32768 * b + 131072) >> 18), 255);
      redDifference[colourAt] = Math.min(noColour + ((32768 * r - 27439 * g - 5329 * b + 131072) >> 18), 255);
      lumaAt += 2;
      i += 2 * channels;
    }
  }
}
