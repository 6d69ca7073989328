import { medianOfNormal, orderStatistic } from '../numerics/robust.ts';
import type { Pixel } from '../geometry/vector.ts';
import { heldOf, type Photo } from '../photo/photo.ts';
import { addAlongLine, type Plane } from './sampling.ts';

/** An edge met on a walk along a line through the photo. */
export interface ProfileEdge {
  /** pixels from the line's origin, along its direction */
  offset: number;
  /** grey levels per pixel at the edge; positive where it gets lighter along the direction */
  slope: number;
}

/** How edges and noise are read off a photo. */
const filter = {
  /** pixels between samples: finer costs time in proportion */
  step: 0.5,
  /** blur of the derivative, pixels: about a sharp photo's own, where the filter separates close edges best */
  sigma: 0.8,
  /** samples to each side: three of its standard deviations */
  half: 5,
  /** a slope counts from so many standard deviations of the noise's on */
  deviations: 3,
  /**
   * noise is told from so many rows and columns of places, and is so much (grey levels) at least, or where none show
   */
  noisePlaces: 32,
  leastNoise: 0.5,
  usualNoise: 2,
} as const;
const { step: STEP, sigma: SIGMA, half: HALF } = filter;
/** Root of the sum of squares of the noise mask's weights (Immerkaer 1996). */
const maskNorm = 6;
/** The filter's one half: what lies so many steps ahead counts for as much as what lies behind counts against. */
const kernel = Float64Array.from({ length: HALF + 1 }, (_, i) => {
  const x = i * STEP;
  return x * Math.exp((-x * x) / (2 * SIGMA * SIGMA));
});
const [, k1, k2, k3, k4, k5] = kernel as unknown as [number, number, number, number, number, number];
/** Scaled so that a ramp of one grey level a pixel answers 1. */
const gain = 1 / kernel.reduce((sum, k, i) => sum + 2 * k * i * STEP, 0);

// Kept from call to call: a fit asks for hundreds of thousands of profiles.
let kept = new Float64Array(128);
const line = new Float64Array(4);

/** How a line through a photo is walked. */
export interface EdgeWalk {
  /** pixels to both sides of its origin */
  reach: number;
  /** width of the band that is averaged, pixels */
  breadth: number;
  /** edges flatter than this are left out, grey levels a pixel */
  least: number;
}

/**
 * The edges met on a walk through `origin` along a unit `direction`, placed to a fraction of a pixel: extrema of the
 * first derivative under a Gaussian (Canny 1986; parabola through the top three).
 */
export function edgesAcross(
  photo: Photo,
  origin: Pixel,
  direction: Pixel,
  { reach, breadth, least }: EdgeWalk,
): ProfileEdge[] {
  const n = Math.ceil(reach / STEP) + 1;
  const total = 2 * (n + HALF) + 1;
  if (kept.length < total) kept = new Float64Array(2 * total);
  const profile = kept;
  profile.fill(0, 0, total);
  const { left, top, width, height } = heldOf(photo);
  const luma: Plane = { values: photo.luma, width, height, border: 'nearest' };
  line[2] = STEP * direction[0];
  line[3] = STEP * direction[1];
  // Rows a pixel or so apart: closer ones would share their pixels.
  const rows = Math.max(1, Math.round(breadth));
  for (let row = 0; row < rows; row++) {
    const side = ((row + 0.5) / rows - 0.5) * breadth;
    const x0 = origin[0] - side * direction[1];
    const y0 = origin[1] + side * direction[0];
    const back = (n + HALF) * STEP;
    line[0] = x0 - back * direction[0] - left;
    line[1] = y0 - back * direction[1] - top;
    addAlongLine(luma, line, total, profile, 0);
  }
  const edges: ProfileEdge[] = [];
  let slope = slopeAt(profile, 0, rows);
  let next = slopeAt(profile, 1, rows);
  for (let i = 1; i < 2 * n; i++) {
    const last = slope;
    slope = next;
    next = slopeAt(profile, i + 1, rows);
    const here = Math.abs(slope);
    if (here < least) continue;
    const before = Math.abs(last);
    const after = Math.abs(next);
    if (here < before || here <= after || last * slope < 0 || next * slope < 0) continue;
    const bend = before - 2 * here + after;
    const shift = bend < 0 ? (0.5 * (before - after)) / bend : 0;
    const offset = (i - n + shift) * STEP;
    if (Math.abs(offset) <= reach) edges.push({ offset, slope });
  }
  return edges;
}

/** The slope at a place of a profile that is the sum of so many rows. */
function slopeAt(profile: Float64Array, place: number, rows: number): number {
  const middle = place + HALF;
  let sum = k1 * (profile[middle + 1]! - profile[middle - 1]!);
  sum += k2 * (profile[middle + 2]! - profile[middle - 2]!);
  sum += k3 * (profile[middle + 3]! - profile[middle - 3]!);
  sum += k4 * (profile[middle + 4]! - profile[middle - 4]!);
  sum += k5 * (profile[middle + 5]! - profile[middle - 5]!);
  return (sum * gain) / rows;
}

/**
 * The slope (grey levels a pixel) that noise of a given standard deviation reaches at one place in a few hundred,
 * averaged over `breadth`: the derivative of a Gaussian of width sigma passes white noise by 1 / (2 pi^(1/4)
 * sigma^(3/2)) (Canny 1986), 3 deviations.
 */
export const slopeOfNoise = (noise: number, breadth: number): number =>
  (filter.deviations * noise) / (2 * Math.PI ** 0.25 * SIGMA ** 1.5) / Math.sqrt(Math.max(1, breadth));

/**
 * Standard deviation of the luma's noise near a place (grey levels): from the median absolute response to the mask that
 * cancels planes and edges along both axes (Immerkaer 1996), over a square of `half` pixels each way.
 */
export function noiseNear(photo: Photo, centre: Pixel, half: number): number {
  const { luma } = photo;
  const { left, top, width, height } = heldOf(photo);
  const responses: number[] = [];
  const x0 = Math.max(1, Math.round(centre[0] - half) - left);
  const x1 = Math.min(width - 2, Math.round(centre[0] + half) - left);
  const y0 = Math.max(1, Math.round(centre[1] - half) - top);
  const y1 = Math.min(height - 2, Math.round(centre[1] + half) - top);
  const stride = Math.max(1, Math.floor((2 * half) / filter.noisePlaces));
  for (let y = y0; y <= y1; y += stride) {
    for (let x = x0; x <= x1; x += stride) {
      const k = y * width + x;
      const corners = luma[k - width - 1]! + luma[k - width + 1]! + luma[k + width - 1]! + luma[k + width + 1]!;
      const sides = luma[k - width]! + luma[k + width]! + luma[k - 1]! + luma[k + 1]!;
      responses.push(Math.abs(corners - 2 * sides + 4 * luma[k]!));
    }
  }
  if (responses.length === 0) return filter.usualNoise;
  return Math.max(filter.leastNoise, orderStatistic(responses, 0.5)! / maskNorm / medianOfNormal);
}
