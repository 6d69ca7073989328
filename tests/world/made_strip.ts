import { acrossPlaces, type Strip } from '../../src/vision/strip.ts';
import type { Colour } from '../../src/vision/strip_relief.ts';
import { seededNormal } from './seeded_random.ts';

export interface MadeStrip {
  /** mm */
  from: number;
  to: number;
  rows?: number;
  limit?: number;
  samplesPerMm?: number;
  /** photo pixels a mm */
  pixelsPerMm?: number;
  /** standard deviation, levels */
  noise?: number;
  /** luma, Cb, Cr at an arc length (mm) and across-width place */
  colour: (s: number, w: number) => Colour;
}

/** A straightened blank without a photo: what stands where is given, every row and column is seen. */
export function madeStrip({
  from,
  to,
  rows = 21,
  limit = 0.85,
  samplesPerMm = 10,
  pixelsPerMm = 8,
  noise = 1,
  colour,
}: MadeStrip): Strip {
  const columns = Math.round((to - from) * samplesPerMm) + 1;
  const across = acrossPlaces(rows, limit);
  const normal = seededNormal(5);
  const planes = [0, 1, 2].map(() => new Float32Array(rows * columns));
  for (let k = 0; k < rows; k++)
    for (let c = 0; c < columns; c++) {
      const own = colour(from + c / samplesPerMm, across[k]!);
      for (const [i, plane] of planes.entries()) plane[k * columns + c] = own[i]! + noise * normal();
    }
  const [luma, blueDifference, redDifference] = planes as [Float32Array, Float32Array, Float32Array];
  const all = (value: number) => new Float32Array(columns).fill(value);
  return {
    from,
    step: 1 / samplesPerMm,
    columns,
    across,
    luma,
    blueDifference,
    redDifference,
    facing: all(0),
    pixelsPerMm: all(pixelsPerMm),
    parallax: all(0),
  };
}
