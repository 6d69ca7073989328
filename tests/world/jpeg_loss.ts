import type { Photo } from '../../src/photo/photo.ts';

/**
 * What saving as JPEG takes from a picture: each square of 8 x 8 goes through the cosine transform, and its
 * coefficients are rounded to multiples of the table's steps (ITU-T T.81, 1992: annex A.3.3, tables K.1 and K.2),
 * scaled by quality as the Independent JPEG Group's library does. What follows in a file, the coding, loses nothing.
 */
export function jpegLoss(photo: Photo, quality: number): Photo {
  const { width, height, luma, blueDifference, redDifference } = photo;
  const [w, h] = [(width + 1) >> 1, (height + 1) >> 1];
  const chroma = scaled(chromaSteps, quality);
  return {
    ...photo,
    luma: throughSquares(luma, width, height, scaled(lumaSteps, quality)),
    blueDifference: throughSquares(blueDifference, w, h, chroma),
    redDifference: throughSquares(redDifference, w, h, chroma),
  };
}

const lumaSteps = [
  16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55, 14, 13, 16, 24, 40, 57, 69, 56, 14, 17, 22, 29, 51,
  87, 80, 62, 18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92, 49, 64, 78, 87, 103, 121, 120, 101,
  72, 92, 95, 98, 112, 100, 103, 99,
];
const chromaSteps = Array.from({ length: 64 }, (_, i) => {
  const corner = [17, 18, 24, 47, 18, 21, 26, 66, 24, 26, 56, 99, 47, 66, 99, 99];
  return i % 8 < 4 && i < 32 ? corner[(i >> 3) * 4 + (i % 8)]! : 99;
});

const scaled = (steps: readonly number[], quality: number): Float64Array => {
  const factor = quality < 50 ? 5000 / quality : 200 - 2 * quality;
  return Float64Array.from(steps, (step) => Math.min(Math.max(Math.floor((step * factor + 50) / 100), 1), 255));
};

/** Row k holds the cosine of k half waves over eight pixels, of unit length. */
const cosines = Float64Array.from({ length: 64 }, (_, i) => {
  const [k, x] = [i >> 3, i & 7];
  return Math.cos(((2 * x + 1) * k * Math.PI) / 16) * (k === 0 ? Math.SQRT1_2 / 2 : 0.5);
});

const cosinesBack = cosines.map((_, i) => cosines[8 * (i & 7) + (i >> 3)]!);

/** A plane of bytes through the transform, the rounding and back; beyond the right and lower edge its pixels go on. */
function throughSquares(plane: Uint8Array, width: number, height: number, steps: Float64Array): Uint8Array {
  const out = new Uint8Array(plane.length);
  const square = new Float64Array(64);
  const half = new Float64Array(64);
  for (let top = 0; top < height; top += 8) {
    for (let left = 0; left < width; left += 8) {
      for (let i = 0; i < 64; i++) {
        const x = Math.min(left + (i & 7), width - 1);
        const y = Math.min(top + (i >> 3), height - 1);
        square[i] = plane[y * width + x]! - 128;
      }
      transform(square, half, false);
      for (let i = 0; i < 64; i++) square[i] = steps[i]! * Math.round(square[i]! / steps[i]!);
      transform(square, half, true);
      for (let i = 0; i < 64; i++) {
        const x = left + (i & 7);
        const y = top + (i >> 3);
        if (x < width && y < height) out[y * width + x] = Math.min(Math.max(Math.round(square[i]! + 128), 0), 255);
      }
    }
  }
  return out;
}

/** The cosine transform of an 8 x 8 square in place, or back; `half` is room to work in. */
function transform(square: Float64Array, half: Float64Array, back: boolean): void {
  const table = back ? cosinesBack : cosines;
  for (let y = 0; y < 64; y += 8)
    for (let k = 0; k < 8; k++) {
      let sum = 0;
      for (let x = 0; x < 8; x++) sum += table[8 * k + x]! * square[y + x]!;
      half[y + k] = sum;
    }
  for (let k = 0; k < 8; k++)
    for (let m = 0; m < 8; m++) {
      let sum = 0;
      for (let y = 0; y < 8; y++) sum += table[8 * m + y]! * half[8 * y + k]!;
      square[8 * m + k] = sum;
    }
}
