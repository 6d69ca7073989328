import type { Pixel } from './vector.ts';

/**
 * How far a place has to stay from a photo's edges, pixels: from the centres of its first column and row (`near`), and
 * from its width and height (`far`), which lie one beyond the centres of its last ones.
 */
export interface Border {
  near: number;
  far: number;
}

/** Everything from the first centres to one beyond the last. */
export const noBorder: Border = { near: 0, far: 0 };

/** From the first centres to the last, and so far within them: there is a pixel on every side. */
export const withinCentres = (pixels: number): Border => ({ near: pixels, far: 1 + pixels });

/** So far from the first centres as from the width and height. */
export const border = (pixels: number): Border => ({ near: pixels, far: pixels });

/** Whether a place (pixels) lies inside a photo of this size and clear of its border. */
export const isInPhoto = (
  { width, height }: { width: number; height: number },
  [x, y]: Pixel,
  { near, far }: Border,
): boolean => x >= near && y >= near && x < width - far && y < height - far;
