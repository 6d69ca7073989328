import { median, quantile, robustSigma, runningMedian } from '../numerics/robust.ts';
import type { Strip } from './strip.ts';

/** Three channels together: luma, Cb, Cr. */
export type Colour = readonly [number, number, number];

/**
 * What stands out of the straightened blank along the axis: each row less its own running median along, so shading,
 * the lengthwise highlight and slow changes of colour are gone and bands across remain.
 */
export interface StripRelief {
  /** rows x columns each: luma, Cb, Cr above the row's own background */
  rows: [Float32Array, Float32Array, Float32Array];
  /** the same averaged over the rows (noisy rows count less): one value a column */
  profile: [Float64Array, Float64Array, Float64Array];
  /** columns with a value in every row: first and one past the last */
  first: number;
  end: number;
  /** per column: rows `margin` to rows.length - 1 - margin lie far enough inside the outlines */
  margin: Uint8Array;
}

/** How bands are brought out of the blank (held to `marks.test.ts`). */
const bringing = {
  /** mm averaged before the running median: it needs no more detail, and is 5 times cheaper */
  block: 0.5,
  /** mm of running median: a 3 mm band, or two of them, is still a minority in it */
  background: 14,
  /** photo pixels next to the outline in which lens and sensor mix in what lies behind the blank */
  bleed: 2,
  /** so far out a row counts even on a tip thinner than its blur, as a share of the radius */
  leastLimit: 0.45,
  /** mm of strip without which nothing is told, unless asked otherwise */
  shortest: 6,
  /** the quietest rows are weighed as if they had this much noise, levels */
  leastRowNoise: 0.5,
  /** levels that eight bits and JPEG leave even in a perfect picture */
  leastNoise: 0.35,
  /** texture is told from what lies within so many robust standard deviations, the rest held at them */
  heldAt: 3,
} as const;

/** The chi distribution with three degrees of freedom: its median, and the point below which the share `tail` lies. */
const chi3 = { median: 1.538, tail: 0.8, atTail: 2.154 } as const;

/** Averages of `size` neighbours. */
function blocks(row: Float32Array, size: number): Float64Array {
  const out = new Float64Array(Math.max(Math.ceil(row.length / size), 1));
  for (let b = 0; b < out.length; b++) {
    const from = b * size;
    const to = Math.min(from + size, row.length);
    let sum = 0;
    for (let i = from; i < to; i++) sum += row[i]!;
    out[b] = sum / (to - from);
  }
  return out;
}

function subtractBackground(row: Float32Array, step: number, out: Float32Array): void {
  const size = Math.max(Math.round(bringing.block / step), 1);
  const background = runningMedian(blocks(row, size), Math.round(bringing.background / (2 * size * step)));
  for (let i = 0; i < row.length; i++) {
    const place = Math.min(Math.max((i + 0.5) / size - 0.5, 0), background.length - 1);
    const b = Math.min(Math.floor(place), background.length - 1);
    const next = background[Math.min(b + 1, background.length - 1)]!;
    out[i] = row[i]! - (background[b]! + (next - background[b]!) * (place - b));
  }
}

/** Rows to leave out at each outline, per column: at a thin tip more than at the butt, but never all. */
function bleedMargin(strip: Strip, radiusAt: (s: number) => number): Uint8Array {
  const { across } = strip;
  return Uint8Array.from({ length: strip.columns }, (_, c) => {
    const radius = radiusAt(strip.from + c * strip.step) * strip.pixelsPerMm[c]!;
    const limit = Math.max(1 - bringing.bleed / radius, bringing.leastLimit);
    let margin = 0;
    while (margin < (across.length - 3) / 2 && Math.abs(across[margin]!) > limit) margin++;
    return margin;
  });
}

/**
 * See `StripRelief`; `radiusAt` = the blank's radius (mm) at an arc length. Undefined when less than `shortest` mm of
 * the strip is inside the photo.
 */
export function stripRelief(
  strip: Strip,
  radiusAt: (s: number) => number,
  shortest: number = bringing.shortest,
): StripRelief | undefined {
  const { columns, across } = strip;
  const complete = (c: number): boolean => across.every((_, k) => Number.isFinite(strip.luma[k * columns + c]!));
  let first = 0;
  while (first < columns && !complete(first)) first++;
  let end = first;
  while (end < columns && complete(end)) end++;
  if ((end - first) * strip.step < shortest) return undefined;

  const rows = [strip.luma, strip.blueDifference, strip.redDifference].map((channel) => {
    const out = new Float32Array(channel.length);
    for (let k = 0; k < across.length; k++) {
      const a = k * columns + first;
      const b = k * columns + end;
      subtractBackground(channel.subarray(a, b), strip.step, out.subarray(a, b));
    }
    return out;
  }) as [Float32Array, Float32Array, Float32Array];

  const noise = across.map((_, k) => robustSigma(rows[0].subarray(k * columns + first, k * columns + end), 0));
  // The quietest rows must not decide alone: a band that covers only part of the width lies anywhere on it.
  const floor = Math.max(median(noise), bringing.leastRowNoise);
  const raw = noise.map((sigma) => 1 / (sigma ** 2 + floor ** 2));
  const margin = bleedMargin(strip, radiusAt);
  const profile = rows.map((channel) => {
    const out = new Float64Array(columns);
    for (let c = first; c < end; c++) {
      let sum = 0;
      let weight = 0;
      for (let k = margin[c]!; k < across.length - margin[c]!; k++) {
        sum += raw[k]! * channel[k * columns + c]!;
        weight += raw[k]!;
      }
      out[c] = sum / weight;
    }
    return out;
  }) as [Float64Array, Float64Array, Float64Array];
  return { rows, profile, first, end, margin };
}

/** Inverse of a symmetric 3 x 3 matrix given as [xx, xy, xz, yy, yz, zz]. */
export function invertSymmetric(m: readonly number[]): number[] {
  const [a, b, c, d, e, f] = m as [number, number, number, number, number, number];
  const det = a * (d * f - e * e) - b * (b * f - c * e) + c * (b * e - c * d);
  return [
    (d * f - e * e) / det,
    (c * e - b * f) / det,
    (b * e - c * d) / det,
    (a * f - c * c) / det,
    (b * c - a * e) / det,
    (a * d - b * b) / det,
  ];
}

/** m v for a symmetric matrix as in `invertSymmetric`. */
export const applySymmetric = (m: readonly number[], v: Colour): Colour => [
  m[0]! * v[0] + m[1]! * v[1] + m[2]! * v[2],
  m[1]! * v[0] + m[3]! * v[1] + m[4]! * v[2],
  m[2]! * v[0] + m[4]! * v[1] + m[5]! * v[2],
];

/** Box average over `2 * half + 1` values within [first, end). */
export function boxAverage(values: Float64Array, half: number, first: number, end: number): Float64Array {
  const out = new Float64Array(values.length);
  for (let c = first; c < end; c++) {
    const a = Math.max(c - half, first);
    const b = Math.min(c + half + 1, end);
    let sum = 0;
    for (let i = a; i < b; i++) sum += values[i]!;
    out[c] = sum / (b - a);
  }
  return out;
}

/**
 * How far each column stands out of the blank's own texture, in standard deviations: the Mahalanobis distance of the
 * smoothed three-channel profile, with a covariance of its quiet part (see `bringing.heldAt`), scaled so that its
 * median is that of chi with three degrees of freedom, and its upper tail no less.
 */
export function prominence(relief: StripRelief, half: number): { score: Float64Array; inverse: number[] } {
  const { first, end, profile } = relief;
  const { heldAt, leastNoise } = bringing;
  const smooth = profile.map((channel) => boxAverage(channel, half, first, end));
  const sigma = smooth.map((channel) => Math.max(robustSigma(channel.subarray(first, end), 0), leastNoise));
  const sums = [0, 0, 0, 0, 0, 0];
  for (let c = first; c < end; c++) {
    const v = smooth.map((channel, i) => Math.min(Math.max(channel[c]!, -heldAt * sigma[i]!), heldAt * sigma[i]!));
    let n = 0;
    for (let i = 0; i < 3; i++) for (let j = i; j < 3; j++) sums[n++]! += v[i]! * v[j]!;
  }
  const covariance = sums.map((v) => v / (end - first));
  // the diagonal
  for (const i of [0, 3, 5]) covariance[i]! += leastNoise ** 2;
  const inverse = invertSymmetric(covariance);
  const score = new Float64Array(profile[0].length);
  for (let c = first; c < end; c++) {
    const v: Colour = [smooth[0]![c]!, smooth[1]![c]!, smooth[2]![c]!];
    const w = applySymmetric(inverse, v);
    score[c] = Math.sqrt(Math.max(v[0] * w[0] + v[1] * w[1] + v[2] * w[2], 0));
  }
  const inside = score.subarray(first, end);
  // A texture with heavy tails (a spiral) is judged by its tails.
  const stretch = Math.max(median(inside) / chi3.median, quantile(inside, chi3.tail) / chi3.atTail);
  if (stretch > 0) for (let c = first; c < end; c++) score[c]! /= stretch;
  return { score, inverse };
}
