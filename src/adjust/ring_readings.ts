import { covarianceOf } from '../numerics/covariance.ts';
import { type RingCovariance, ringMeasures, sightingCovariance } from './fitted_ring.ts';
import type { RingCandidate } from './ring_candidate.ts';
import type { RingFit } from './ring_fit.ts';
import { eachUnknown, type RingState } from './ring_state.ts';

/** A fit that was tried, and how likely it is, as a log. */
export interface RingReadingTried {
  /** what the ring was taken for */
  make: object;
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
  /** fits of one make this near to the best one's place are rests of one reading, mm */
  rests: 0.6,
  /**
   * evidence by which a rest must be better to count e times as much: neighbouring edges share their cause, and which
   * of them a fit takes hold of is near chance
   */
  temper: 8,
  /** a thorough fit counts as so many quick ones */
  thorough: 4,
} as const;

/** How far apart two fits have the centre, mm. */
export const between = (a: RingState, b: RingState): number =>
  Math.hypot(a.along - b.along, a.right - b.right, a.up - b.up);

/**
 * The mean of the rests that fits of the best one's make found near it, weighed by their evidence, tempered (Bayesian
 * model averaging, Hoeting et al. 1999). The best alone would be the one that chance favours most.
 */
export function joinedState<T extends RingReadingTried>(
  best: T,
  tried: readonly T[],
  isThorough: (trial: T) => boolean,
): RingState {
  const rests = tried
    .filter((t) => t.make === best.make && between(t.fit.state, best.fit.state) < readings.rests)
    .map((t) => ({
      state: t.fit.state,
      weight: (isThorough(t) ? readings.thorough : 1) * Math.exp((t.rank - best.rank) / readings.temper),
    }));
  const total = rests.reduce((sum, { weight }) => sum + weight, 0);
  return eachUnknown((name) => rests.reduce((sum, { state, weight }) => sum + weight * state[name], 0) / total);
}

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
