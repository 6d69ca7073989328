import type { Estimate } from '../numerics/estimate.ts';
import { type BlankAxis, crossSection, nearestArcLength, rollOf } from '../geometry/blank_axis.ts';
import { rotationWithDerivatives } from '../geometry/projection_jacobian.ts';
import { add, dot, subtract, type Vector3 } from '../geometry/vector.ts';
import { type BlankSolution, axisSigmaAt } from './blank_adjustment.ts';
import type { MatSolution } from './mat_summary.ts';
import type { MatDoubt } from './propagation.ts';

/** How a card is held in a reel seat (common practice, no source). */
const standing = {
  /**
   * how high it stands over the axis, mm, and the standard deviation of that: seats are 8 to 13 mm in radius, their
   * hoods lift a foot by some more
   */
  height: 18,
  sigma: 6,
  /** how well it stands over the axis's middle, mm */
  seating: 0.15,
  /** it is looked for along the axis from this share of what is known of it on: a seat lies near the butt */
  near: 0.9,
} as const;

export interface CardRoll {
  /** degrees about the axis, bench zero */
  roll: Estimate;
  /** what its tilt and its place over the axis say apart, degrees */
  byTilt: Estimate;
  byPlace: Estimate;
}

/**
 * The seat card's roll about the axis, from its tilt and from its place over the axis, weighed by their doubt: a small
 * flat target's own tilt is weakly seen from straight above.
 */
export function seatCardRoll(
  mat: Pick<MatSolution, 'card' | 'index'>,
  blank: BlankSolution,
  axis: BlankAxis,
  doubt: MatDoubt,
): CardRoll | undefined {
  const card = mat.card;
  const cardIndex = mat.index.card;
  if (!card || cardIndex === undefined) return undefined;
  const { matrix, partials } = rotationWithDerivatives(card.rotation);
  const normal: Vector3 = [matrix[2], matrix[5], matrix[8]];
  const end = axis.from + (axis.points.length - 1) * axis.step;
  const s = nearestArcLength(axis, card.centre, end * standing.near);
  const section = crossSection(axis, s);
  const tilt = rollOf(section, add(section.point, normal));
  const among = (g: ArrayLike<number>, at: number) => {
    const all = new Float64Array(doubt.tipByParameter.length);
    all.set(g, at);
    return all;
  };
  const product = (g: ArrayLike<number>, h: ArrayLike<number>, at: number) =>
    doubt.covariance(among(g, at), among(h, at));
  // The normal turns about the axis by its sideways part over its upright part.
  const byRotation = Float64Array.from(partials.map((p) => dot(section.right, [p[2], p[5], p[8]])));
  const tiltU = (Math.sqrt(Math.max(product(byRotation, byRotation, cardIndex), 0)) * 180) / Math.PI;
  // One photo hardly tells the card's height, and from aside its height is its place: what is known of reel seats joins
  // in.
  const offset = subtract(card.centre, section.point);
  const at = cardIndex + 3;
  const upVariance = product(section.up, section.up, at);
  const shared = product(section.right, section.up, at);
  const gain = (standing.height - dot(offset, section.up)) / (upVariance + standing.sigma ** 2);
  const up = dot(offset, section.up) + upVariance * gain;
  const right = dot(offset, section.right) + shared * gain;
  const rightVariance = product(section.right, section.right, at) - shared ** 2 / (upVariance + standing.sigma ** 2);
  const place = (Math.atan2(right, up) * 180) / Math.PI;
  const sideways = Math.sqrt(Math.max(rightVariance, 0));
  const placeU =
    (Math.hypot(sideways, axisSigmaAt(blank, s).side, standing.seating) / Math.hypot(right, up)) * (180 / Math.PI);
  const weights = [1 / tiltU ** 2, 1 / placeU ** 2] as const;
  const value = (tilt * weights[0] + place * weights[1]) / (weights[0] + weights[1]);
  return {
    roll: { value, u: 1 / Math.sqrt(weights[0] + weights[1]) },
    byTilt: { value: tilt, u: tiltU },
    byPlace: { value: place, u: placeU },
  };
}
