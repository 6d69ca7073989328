import { type BlankAxis, crossSection, nearestArcLength, rollOf } from '../geometry/blank_axis.ts';
import { rotationWithDerivatives } from '../geometry/projection_jacobian.ts';
import { add, dot, subtract, type Vector3 } from '../geometry/vector.ts';
import { type BlankSolution, axisSigmaAt } from './blank_adjustment.ts';
import type { Estimate } from './mark_fit.ts';
import type { MatSolution } from './mat_adjustment.ts';
import type { MatDoubt } from './propagation.ts';

/** How well a card held in the reel seat stands over the axis's middle, mm (common practice, no source). */
const seating = 0.15;

export interface CardRoll {
  /** degrees about the axis, bench zero */
  roll: Estimate;
  /** what its tilt and its place over the axis say apart, degrees */
  byTilt: Estimate;
  byPlace: Estimate;
}

/**
 * The seat card's roll about the axis, from its tilt and from its place over the axis, weighed by their doubt: a small flat
 * target's own tilt is weakly seen from straight above.
 */
export function seatCardRoll(
  mat: MatSolution,
  blank: BlankSolution,
  axis: BlankAxis,
  doubt: MatDoubt,
): CardRoll | undefined {
  const card = mat.card;
  if (!card) return undefined;
  const { matrix, partials } = rotationWithDerivatives(card.rotation);
  const normal: Vector3 = [matrix[2], matrix[5], matrix[8]];
  const end = axis.from + (axis.points.length - 1) * axis.step;
  const s = nearestArcLength(axis, card.centre, end * 0.9);
  const section = crossSection(axis, s);
  const tilt = rollOf(section, add(section.point, normal));
  const { covariance, n } = doubt;
  const variance = (g: Float64Array, at: number) => {
    let sum = 0;
    for (let i = 0; i < g.length; i++)
      for (let j = 0; j < g.length; j++) sum += g[i]! * covariance[(at + i) * n + at + j]! * g[j]!;
    return Math.sqrt(Math.max(sum, 0));
  };
  // The normal turns about the axis by its sideways part over its upright part.
  const byRotation = Float64Array.from(partials.map((p) => dot(section.right, [p[2], p[5], p[8]])));
  const tiltU = (variance(byRotation, card.index) * 180) / Math.PI;
  const offset = subtract(card.centre, section.point);
  const height = Math.hypot(dot(offset, section.right), dot(offset, section.up));
  const place = rollOf(section, card.centre);
  const sideways = variance(Float64Array.from(section.right), card.index + 3);
  const placeU = (Math.hypot(sideways, axisSigmaAt(blank, s).side, seating) / height) * (180 / Math.PI);
  const weights = [1 / tiltU ** 2, 1 / placeU ** 2] as const;
  const value = (tilt * weights[0] + place * weights[1]) / (weights[0] + weights[1]);
  return {
    roll: { value, u: 1 / Math.sqrt(weights[0] + weights[1]) },
    byTilt: { value: tilt, u: tiltU },
    byPlace: { value: place, u: placeU },
  };
}
