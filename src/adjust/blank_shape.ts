import { axisPoint, blankRadius } from '../geometry/blank_axis.ts';
import { basisAt, type UniformSpline } from '../geometry/spline.ts';
import { addScaled, cross, dot, subtract, unit, type Vector3 } from '../geometry/vector.ts';
import type { BlankSolution } from './blank_adjustment.ts';
import type { MatSolution } from './mat_summary.ts';
import { type MatDoubt, placeGradient } from './propagation.ts';

/** The blank at one arc length from its tip; mm, every `u` a standard uncertainty. */
export interface ShapeRow {
  along: number;
  diameter: number;
  diameterU: number;
  /** off the chord between the two ends: to the right as seen from the butt, and up from the bench */
  side: number;
  sideU: number;
  up: number;
  upU: number;
}

/**
 * Where a dark shadow touches it, a glossy blank mirrors that shadow from 45 degrees round its side on and cannot be
 * told from it: its edge then seems to lie up to this share of the diameter inside (half of 1 - sin 45 degrees).
 */
export const mirroredShare = 0.146;

const known = {
  /** how well a height is known before its rays meet, mm, and an outline's reading in one photo, pixels */
  heightSigma: 2,
  pixelSigma: 0.3,
  /** shading moves both limbs of a blank in, and its outlines together: no fit sees that, mm */
  diameter: 0.03,
  side: 0.02,
  up: 0.08,
  /** what an outline out by 1 mm does to the height that photos half as far aside as up tell, mm */
  perHeight: 2.9,
} as const;

/** Where to measure, and what is known of the photos there. */
export interface ShapeAsked {
  /** arc lengths, mm; the chord runs from the first to the last */
  along: readonly number[];
  /** how far white bleeds over its outline, mm: it makes the blank look so much thinner on either side */
  bleed: number;
  /** whether a dark shadow hides one side of the blank */
  limbHidden: boolean;
}

/**
 * Diameter and bow at arc lengths along the blank. The doubt holds the reading of outlines (from the blank's own
 * adjustment), cameras, lens and pages (from the mat's, by first-order propagation of the difference between a place
 * and the chord), and what shading does.
 */
export function blankShape(
  mat: MatSolution,
  doubt: MatDoubt,
  blank: BlankSolution,
  { along, bleed, limbHidden }: ShapeAsked,
): ShapeRow[] {
  const { model, axis } = blank;
  const [first, last] = [along[0]!, along.at(-1)!];
  const chord = chordFrame(axisPoint(axis, first), axisPoint(axis, last));
  const shares = (s: number) => [
    { s, share: 1 },
    { s: first, share: (s - last) / (last - first) },
    { s: last, share: (first - s) / (last - first) },
  ];
  const own = (spline: UniformSpline, offset: number, at: readonly { s: number; share: number }[]) =>
    splineVariance(blank, spline, offset, at);
  const shifts = new Map<string, Float64Array | undefined>();
  const shift = (s: number, way: 'right' | 'up') => {
    const key = `${way} ${s}`;
    if (!shifts.has(key)) {
      const place = { point: axisPoint(axis, s), along: chord[way], photos: photosAt(blank, s) };
      shifts.set(key, placeGradient(mat, { ...place, heightSigma: known.heightSigma, pixelSigma: known.pixelSigma }));
    }
    return shifts.get(key);
  };
  const cameras = (s: number, way: 'right' | 'up') => {
    const gradient = new Float64Array(mat.values.length);
    for (const { s: at, share } of shares(s)) {
      const moves = shift(at, way);
      if (!moves) return Number.POSITIVE_INFINITY;
      for (let i = 0; i < gradient.length; i++) gradient[i]! += share * moves[i]!;
    }
    return Math.max(doubt.covariance(gradient, gradient), 0);
  };
  return along.map((s): ShapeRow => {
    const off = subtract(axisPoint(axis, s), chord.start);
    const diameter = 2 * (blankRadius(axis, s) + bleed);
    // What is seen is the true diameter less its hidden share.
    const hidden = limbHidden ? (mirroredShare / (1 - mirroredShare)) * diameter : 0;
    const atEnd = s === first || s === last;
    const side = Math.sqrt(own(model.spline, model.side, shares(s)) + cameras(s, 'right'));
    const up = Math.sqrt(own(model.spline, model.height, shares(s)) + cameras(s, 'up'));
    return {
      along: s,
      diameter,
      diameterU: Math.hypot(
        2 * Math.sqrt(own(model.radiusSpline, model.radius, [{ s, share: 1 }])),
        known.diameter,
        hidden / 2,
      ),
      side: dot(off, chord.right),
      sideU: atEnd ? 0 : Math.hypot(side, known.side, hidden / 4),
      up: dot(off, chord.up),
      upU: atEnd ? 0 : Math.hypot(up, known.up, (hidden / 4) * known.perHeight),
    };
  });
}

/** The photos that show the blank at an arc length; where none does, all that show any of it. */
function photosAt({ covers }: BlankSolution, s: number): number[] {
  const margin = 12;
  const all = covers.flatMap((cover, photo) => (cover ? [{ ...cover, photo }] : []));
  const own = all.filter(({ from, to }) => s >= from - margin && s <= to + margin);
  return (own.length > 0 ? own : all).map(({ photo }) => photo);
}

/** The frame of the chord from tip to butt: right as seen from the butt, up from the bench. */
function chordFrame(start: Vector3, end: Vector3) {
  const along = unit(subtract(end, start));
  const up = unit(addScaled([0, 0, 1], along, -along[2]));
  return { start, up, right: cross(up, along) };
}

/** Variance of a sum of a spline's values, each times its share; mm squared. */
function splineVariance(
  { covariance, values, model }: BlankSolution,
  spline: UniformSpline,
  offset: number,
  at: readonly { s: number; share: number }[],
): number {
  if (!covariance) return Number.POSITIVE_INFINITY;
  const n = values.length;
  const weight = new Map<number, number>();
  for (const { s, share } of at) {
    const { first, weights } = basisAt(spline, values[model.tip]! + s);
    for (let i = 0; i < 4; i++) {
      const k = offset + first + i;
      weight.set(k, (weight.get(k) ?? 0) + share * weights[i as 0]!);
    }
  }
  let sum = 0;
  for (const [i, a] of weight) for (const [j, b] of weight) sum += a * b * covariance[i * n + j]!;
  return Math.max(sum, 0);
}
