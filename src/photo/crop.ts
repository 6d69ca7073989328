import type { Photo, Picture } from './photo.ts';

/** A rectangle of a photo, whole pixels, inside it. */
export interface Rectangle {
  left: number;
  top: number;
  width: number;
  height: number;
}

/** The part of a rectangle that lies inside the photo. */
export function insidePhoto(photo: { width: number; height: number }, wanted: Rectangle): Rectangle {
  const left = Math.max(0, Math.round(wanted.left));
  const top = Math.max(0, Math.round(wanted.top));
  const right = Math.min(photo.width, Math.round(wanted.left + wanted.width));
  const bottom = Math.min(photo.height, Math.round(wanted.top + wanted.height));
  return { left, top, width: Math.max(right - left, 1), height: Math.max(bottom - top, 1) };
}

/** Cuts a rectangle out of the photo, in colour, every `stride`th pixel (ITU-R BT.601 back to RGB). */
export function cropPhoto(photo: Photo, rectangle: Rectangle, stride = 1): Picture {
  const width = Math.max(1, Math.floor(rectangle.width / stride));
  const height = Math.max(1, Math.floor(rectangle.height / stride));
  const rgba = new Uint8ClampedArray(width * height * 4);
  const half = Math.ceil(photo.width / 2);
  for (let y = 0; y < height; y++) {
    const row = rectangle.top + y * stride;
    for (let x = 0; x < width; x++) {
      const column = rectangle.left + x * stride;
      const light = photo.luma[row * photo.width + column]!;
      const k = (row >> 1) * half + (column >> 1);
      const blue = photo.blueDifference[k]! - 128;
      const red = photo.redDifference[k]! - 128;
      const i = 4 * (y * width + x);
      rgba[i] = light + 1.402 * red;
      rgba[i + 1] = light - 0.344136 * blue - 0.714136 * red;
      rgba[i + 2] = light + 1.772 * blue;
      rgba[i + 3] = 255;
    }
  }
  return { width, height, rgba };
}
