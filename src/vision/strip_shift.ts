import type { Stretch } from '../plan/stretch.ts';
import type { BlankAxis } from '../geometry/blank_axis.ts';
import { median } from '../numerics/robust.ts';
import { acrossPlaces, straighten, type View } from './strip.ts';

/** How two photos of the same stretch of blank agree when one is shifted along against the other. */
export interface StripShift {
  /** mm by which the second photo's blank lies nearer to the butt than the first's */
  shift: number;
  /** correlation of the two at that shift and at none, -1 to 1 */
  best: number;
  unshifted: number;
  /** mm of blank that both show, what stands off it left out */
  compared: number;
}

/** How two strips are held against each other (held to `strip_shift.test.ts`). */
const compared = {
  samplesPerMm: 4,
  /** a slide looked for, mm: farther costs time in proportion and lets one band pass for its neighbour */
  reach: 20,
  /**
   * a highlight runs the whole length and a shadow changes slowly: what changes faster than this is on the blank, mm
   */
  trend: 6,
  /** rows across whose median is followed, out to a share of the radius: the outlines are all blur and shadow */
  rows: 9,
  limit: 0.6,
} as const;
const { samplesPerMm, reach, trend } = compared;

/**
 * Compares the bands on the blank (marks, tape, feet, texture) as two photos show them over a shared stretch:
 * normalised cross-correlation of the median luma along the axis, its slow changes taken off. What stands off the blank
 * (`standing`, where the first and the second photo show it) moves with the camera and is left out.
 */
export function stripShift(
  a: View,
  b: View,
  axis: BlankAxis,
  shared: Stretch,
  standing: readonly [readonly Stretch[], readonly Stretch[]],
): StripShift {
  const p = leftOut(profile(a, axis, shared), shared, standing[0]);
  const q = leftOut(profile(b, axis, shared), shared, standing[1]);
  const most = reach * samplesPerMm;
  let best = -1;
  let at = 0;
  let unshifted = -1;
  for (let lag = -most; lag <= most; lag++) {
    const value = correlation(p, q, lag);
    if (lag === 0) unshifted = value;
    if (value > best) {
      best = value;
      at = lag;
    }
  }
  const both = p.filter((value, i) => Number.isFinite(value) && Number.isFinite(q[i]));
  return { shift: at / samplesPerMm, best, unshifted, compared: both.length / samplesPerMm };
}

/** The profile with no value along these stretches. */
const leftOut = (values: Float64Array, { from }: Stretch, standing: readonly Stretch[]): Float64Array =>
  values.map((value, i) => {
    const s = from + i / samplesPerMm;
    return standing.some((stretch) => s >= stretch.from && s <= stretch.to) ? Number.NaN : value;
  });

function profile(view: View, axis: BlankAxis, range: Stretch): Float64Array {
  const across = acrossPlaces(compared.rows, compared.limit);
  const strip = straighten(view, axis, range, across, samplesPerMm);
  const raw = Float64Array.from({ length: strip.columns }, (_, column) =>
    median(across.map((_, row) => strip.luma[row * strip.columns + column]!).filter(Number.isFinite)),
  );
  const half = trend * samplesPerMm;
  return raw.map((value, i) => {
    let sum = 0;
    let count = 0;
    for (let k = Math.max(0, i - half); k <= Math.min(raw.length - 1, i + half); k++) {
      if (!Number.isFinite(raw[k]!)) continue;
      sum += raw[k]!;
      count++;
    }
    return value - sum / count;
  });
}

/** Correlation of p[i] with q[i + lag] over what both have. */
function correlation(p: Float64Array, q: Float64Array, lag: number): number {
  let pq = 0;
  let pp = 0;
  let qq = 0;
  for (let i = Math.max(0, -lag); i < Math.min(p.length, q.length - lag); i++) {
    const x = p[i]!;
    const y = q[i + lag]!;
    if (!Number.isFinite(x) || !Number.isFinite(y)) continue;
    pq += x * y;
    pp += x * x;
    qq += y * y;
  }
  return pp > 0 && qq > 0 ? pq / Math.sqrt(pp * qq) : -1;
}
