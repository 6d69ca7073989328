import type { Photo } from '../photo/photo.ts';

/** Edge directions of a photo at one size: where an edge is clear the vector has length near 1, where there is only noise, near 0. */
export interface GradientLevel {
  /** full-size pixels to one of this level's */
  factor: number;
  width: number;
  height: number;
  /** direction times strength, -127..127, of the rows and columns inside `box`; zero elsewhere */
  gx: Int8Array;
  gy: Int8Array;
  box: PixelBox;
}

/** Full-size pixels, both ends included. */
export interface PixelBox {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

interface LumaLevel {
  width: number;
  height: number;
  luma: Uint8Array;
}

function halve(level: LumaLevel): LumaLevel {
  const width = level.width >> 1;
  const height = level.height >> 1;
  const luma = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    const a = 2 * y * level.width;
    const b = a + level.width;
    for (let x = 0, k = y * width; x < width; x++, k++) {
      const i = 2 * x;
      luma[k] = (level.luma[a + i]! + level.luma[a + i + 1]! + level.luma[b + i]! + level.luma[b + i + 1]! + 2) >> 2;
    }
  }
  return { width, height, luma };
}

/** A photo's levels, each half the size of the one before, gradients worked out when first asked for. */
export interface GradientPyramid {
  level(i: number): GradientLevel;
}

/** The pyramid of one photo; gradients only inside `box`. */
export function gradientPyramid(photo: Photo, box: PixelBox): GradientPyramid {
  const lumas: LumaLevel[] = [photo];
  const levels: (GradientLevel | undefined)[] = [];
  const lumaOf = (i: number): LumaLevel => {
    while (lumas.length <= i) lumas.push(halve(lumas.at(-1)!));
    return lumas[i]!;
  };
  return {
    level(i) {
      levels[i] ??= gradients(lumaOf(i), 2 ** i, box);
      return levels[i]!;
    },
  };
}

function gradients({ width, height, luma }: LumaLevel, factor: number, box: PixelBox): GradientLevel {
  const left = Math.max(1, Math.floor(box.left / factor));
  const right = Math.min(width - 2, Math.ceil(box.right / factor));
  const top = Math.max(1, Math.floor(box.top / factor));
  const bottom = Math.min(height - 2, Math.ceil(box.bottom / factor));
  const gx = new Int8Array(width * height);
  const gy = new Int8Array(width * height);
  const floor = 2.5 * noiseGradient(luma, width, left, right, top, bottom) + 3;
  for (let y = top; y <= bottom; y++) {
    for (let x = left, k = y * width + left; x <= right; x++, k++) {
      // Scharr's 3 x 3 derivative: the direction is good to a degree (Scharr 2000).
      const a = luma[k - width - 1]!;
      const b = luma[k - width]!;
      const c = luma[k - width + 1]!;
      const d = luma[k - 1]!;
      const e = luma[k + 1]!;
      const f = luma[k + width - 1]!;
      const g = luma[k + width]!;
      const h = luma[k + width + 1]!;
      const dx = (3 * (c - a + h - f) + 10 * (e - d)) / 32;
      const dy = (3 * (f - a + h - c) + 10 * (g - b)) / 32;
      const scale = 127 / Math.sqrt(dx * dx + dy * dy + floor * floor);
      gx[k] = dx * scale;
      gy[k] = dy * scale;
    }
  }
  return { factor, width, height, gx, gy, box };
}

/** The gradient that noise alone shows at most places: the lower quartile over the box (half the places hold no edge). */
function noiseGradient(
  luma: Uint8Array,
  width: number,
  left: number,
  right: number,
  top: number,
  bottom: number,
): number {
  const counts = new Uint32Array(512);
  let total = 0;
  for (let y = top; y <= bottom; y += 5) {
    for (let x = left, k = y * width + left; x <= right; x += 5, k += 5) {
      const d = Math.abs(luma[k + 1]! - luma[k - 1]!) + Math.abs(luma[k + width]! - luma[k - width]!);
      counts[d]!++;
      total++;
    }
  }
  let sum = 0;
  for (let d = 0; d < 512; d++) {
    sum += counts[d]!;
    if (sum * 2 >= total) return d / 2;
  }
  return 0;
}
