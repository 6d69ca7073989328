import { covarianceOf } from '../numerics/covariance.ts';
import { type RingCovariance, ringMeasures, sightingCovariance } from './fitted_ring.ts';
import type { RingCandidate } from './join_sightings.ts';
import type { RingFit } from './ring_fit.ts';
import type { RingState } from './ring_state.ts';

/** A fit that was tried, and how likely it is, as a log. */
export interface RingReadingTried {
  fit: RingFit;
  rank: number;
}

/** How other readings of the same sightings count into a ring's doubt. */
const readings = {
  /** those within this of the best are the same reading, mm */
  same: 0.15,
  /**
   * of a ring of no planned make a bright or a dark band may be taken for the rim: its diameter is no better known than
   * to this share
   */
  unknownSize: 0.08,
} as const;

/**
 * A ring's covariance with the spread to other readings that the photos bear out
 * nearly as well, each weighed by its evidence, tempered: neighbouring edges share their cause (Bayesian model
 * averaging, Hoeting et al. 1999).
 */
export function withOtherReadings(
  covariance: RingCovariance,
  candidate: RingCandidate,
  best: RingReadingTried,
  others: readonly RingReadingTried[],
): RingCovariance {
  const own = best.fit.state;
  const apartFromOwn = ({ along, right, up, outer }: Pick<RingState, 'along' | 'right' | 'up' | 'outer'>) => ({
    along: along - own.along,
    right: right - own.right,
    up: up - own.up,
    ringOuter: 2 * outer - 2 * own.outer,
  });
  const rivals = others
    .map((other) => ({ apart: apartFromOwn(other.fit.state), weight: Math.exp((other.rank - best.rank) / 2) }))
    .filter(({ apart }) => ringMeasures.some((name) => Math.abs(apart[name]) > readings.same));
  const heaviest = new Map<string, (typeof rivals)[number]>();
  for (const rival of rivals) {
    const key = ringMeasures.map((name) => Math.round(rival.apart[name] / (2 * readings.same))).join(' ');
    if (rival.weight > (heaviest.get(key)?.weight ?? 0)) heaviest.set(key, rival);
  }
  // Edges that bear out no ring at all have evidence 0: then the sightings alone speak.
  const alone = { apart: apartFromOwn(candidate), weight: Math.exp(-best.rank / 2) };
  const sightings = sightingCovariance(candidate);
  const list = [...heaviest.values(), alone];
  const total = list.reduce((sum, { weight }) => sum + weight, 1);
  return covarianceOf(ringMeasures, (a, b) => {
    const spread = list.reduce((sum, { apart, weight }) => sum + weight * apart[a] * apart[b], 0);
    return covariance[a][b] + (spread + alone.weight * sightings[a][b]) / total;
  });
}

/** Of a ring of no planned make the diameter is no better known than to a share of itself. */
export const withSizeDoubted = (covariance: RingCovariance, { outer }: RingCandidate): RingCovariance =>
  covarianceOf(
    ringMeasures,
    (a, b) => covariance[a][b] + (a === 'ringOuter' && b === 'ringOuter' ? (readings.unknownSize * 2 * outer) ** 2 : 0),
  );
