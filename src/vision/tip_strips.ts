import type { Pixel } from '../geometry/vector.ts';
import type { Photo } from '../photo/photo.ts';
import { samplePhoto } from './sampling.ts';

/** Where a blank's end is looked at (common practice, no source). */
export const strips = {
  /** pixels between samples along the axis */
  step: 0.25,
  /** shares of the radius across over which the blank's middle is averaged */
  middle: [-0.5, -0.33, -0.17, 0, 0.17, 0.33, 0.5],
  /** and of either side of it by itself */
  side: [0.4, 0.6],
  /** mm beyond the blank's side where the ground is looked at: clear of blur, near enough to be in the same light */
  beside: [0.8, 1.1, 1.4],
} as const;

/** A line along the axis in a photo, sampled outward every `strips.step` pixels, `inward` of them before `at`. */
export interface Line {
  at: Pixel;
  /** unit, out of the blank */
  normal: Pixel;
  perMm: number;
  inward: number;
  count: number;
}

/** Luma, Cb and Cr along a line, averaged over a breadth of it. */
export interface Strip {
  luma: Float64Array;
  blue: Float64Array;
  red: Float64Array;
}

/** The blank's middle and the ground on both sides of it; undefined where one is not in view. */
export function stripsAlong(photo: Photo, line: Line, radius: number, beside: Beside): (Strip | undefined)[] {
  const ground = strips.beside.map((w) => radius + w);
  return [strips.middle.map((k) => k * radius), ground, ground.map((w) => -w)].map((offsets) =>
    stripAlong(photo, line, offsets, beside),
  );
}

/** Where the line's own place shows, so many mm across from it; undefined where it does not. */
type Beside = (across: number) => Pixel | undefined;

/** The mean along lines so many mm across; undefined where one of them is not in view. */
function stripAlong(photo: Photo, line: Line, offsets: readonly number[], beside: Beside): Strip | undefined {
  const [luma, blue, red] = [0, 1, 2].map(() => new Float64Array(line.count)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  for (const w of offsets) {
    const p = beside(w);
    if (!p) return undefined;
    for (let i = 0; i < line.count; i++) {
      const d = (i - line.inward) * strips.step;
      const colour = samplePhoto(photo, p[0] + d * line.normal[0], p[1] + d * line.normal[1]);
      luma[i]! += colour[0] / offsets.length;
      blue[i]! += colour[1] / offsets.length;
      red[i]! += colour[2] / offsets.length;
    }
  }
  return { luma, blue, red };
}

/** Either side of the blank by itself; undefined where one is not in view. */
export const sidesAlong = (photo: Photo, line: Line, radius: number, beside: Beside): (Strip | undefined)[] =>
  [1, -1].map((side) =>
    stripAlong(
      photo,
      line,
      strips.side.map((k) => side * k * radius),
      beside,
    ),
  );
