import { blueOf, greenOf, noColour, redOf } from './luma.ts';
import { heldOf, type Photo, type Picture, type Rectangle } from './photo.ts';

/** The part of a rectangle that lies inside the photo, or inside what is held of it. */
export function insidePhoto(photo: Pick<Photo, 'held' | 'width' | 'height'>, wanted: Rectangle): Rectangle {
  const held = heldOf(photo);
  const left = Math.max(held.left, Math.round(wanted.left));
  const top = Math.max(held.top, Math.round(wanted.top));
  const right = Math.min(held.left + held.width, Math.round(wanted.left + wanted.width));
  const bottom = Math.min(held.top + held.height, Math.round(wanted.top + wanted.height));
  return { left, top, width: Math.max(right - left, 1), height: Math.max(bottom - top, 1) };
}

/** Cuts a rectangle out of the photo, in colour, every `stride`th pixel. */
export function cropPhoto(photo: Photo, rectangle: Rectangle, stride = 1): Picture {
  const width = Math.max(1, Math.floor(rectangle.width / stride));
  const height = Math.max(1, Math.floor(rectangle.height / stride));
  const rgba = new Uint8ClampedArray(width * height * 4);
  const held = heldOf(photo);
  const half = Math.ceil(held.width / 2);
  const { luma, blueDifference, redDifference } = photo;
  for (let y = 0; y < height; y++) {
    const row = rectangle.top - held.top + y * stride;
    for (let x = 0; x < width; x++) {
      const column = rectangle.left - held.left + x * stride;
      const light = luma[row * held.width + column]!;
      const k = (row >> 1) * half + (column >> 1);
      const blue = blueDifference[k]! - noColour;
      const red = redDifference[k]! - noColour;
      const i = 4 * (y * width + x);
      rgba[i] = redOf(light, red);
      rgba[i + 1] = greenOf(light, blue, red);
      rgba[i + 2] = blueOf(light, blue);
      rgba[i + 3] = 255;
    }
  }
  return { width, height, rgba };
}

/**
 * The photo with the pixels of this rectangle alone (and a row or column more where it begins at an odd one); what else
 * it held can then be let go.
 */
export function holdPart(photo: Photo, wanted: Rectangle): Photo {
  const before = heldOf(photo);
  const inside = insidePhoto(photo, wanted);
  const left = inside.left & ~1;
  const top = inside.top & ~1;
  const held = { left, top, width: inside.left + inside.width - left, height: inside.top + inside.height - top };
  const [x, y] = [left - before.left, top - before.top];
  const half = (size: number) => (size + 1) >> 1;
  const colour = { left: x / 2, top: y / 2, width: half(held.width), height: half(held.height) };
  return {
    ...photo,
    held,
    luma: planePart(photo.luma, before.width, { ...held, left: x, top: y }),
    blueDifference: planePart(photo.blueDifference, half(before.width), colour),
    redDifference: planePart(photo.redDifference, half(before.width), colour),
  };
}

function planePart(plane: Uint8Array, stride: number, { left, top, width, height }: Rectangle): Uint8Array {
  const part = new Uint8Array(width * height);
  for (let row = 0; row < height; row++) {
    const from = (top + row) * stride + left;
    part.set(plane.subarray(from, from + width), row * width);
  }
  return part;
}
