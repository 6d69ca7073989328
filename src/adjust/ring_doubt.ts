import type { RingFit } from './ring_fit.ts';
import type { RingUnknown } from './ring_state.ts';
import { covarianceOf } from '../numerics/covariance.ts';
import { type RingCovariance, type RingMeasure, ringMeasures } from './fitted_ring.ts';

/** What a fit of edges cannot see of its own doubt (measured on rendered rings, no source). */
const unseen = {
  /** how well it is known how far the visible outline lies inside the true one, mm as a diameter */
  inset: 0.2,
  /**
   * what all photos have in common, pixels: the light falls from one side, so shading and mirroring shift a ring's
   * edges alike in every photo. Along the blank the photos look from either side and it evens out in part; from one
   * photo a side may be taken for its neighbour.
   */
  lightAcross: 0.35,
  lightAway: 0.3,
  lightAlong: 0.18,
  alongFromOne: 0.4,
} as const;

/**
 * What photos at this many pixels a mm have in common and no further one takes away: along the blank and across it, mm.
 */
export const commonLight = (pxPerMm: number, photos: number) => ({
  along: (photos === 1 ? unseen.alongFromOne : unseen.lightAlong) / pxPerMm,
  across: unseen.lightAcross / pxPerMm,
});

/** A ring's covariance: the fit's own and what it cannot see. */
export function honestCovariance({ state, covariance, pxPerMm, views }: RingFit): RingCovariance {
  const { along, across } = commonLight(pxPerMm, views.length);
  const away = unseen.lightAway / pxPerMm;
  const distance = Math.hypot(state.right, state.up);
  const [right, up] = [state.up / distance, -state.right / distance];
  // Across the radius with one size, along it with another: the tilted ellipse between them, in right and up.
  const light = {
    along: { along: along ** 2 },
    right: { right: (across * right) ** 2 + (away * up) ** 2, up: (across ** 2 - away ** 2) * right * up },
    up: { right: (across ** 2 - away ** 2) * right * up, up: (across * up) ** 2 + (away * right) ** 2 },
    ringOuter: { ringOuter: unseen.inset ** 2 },
  } as Partial<Record<RingMeasure, Partial<Record<RingMeasure, number>>>>;
  const fitted = { along: 'along', right: 'right', up: 'up', ringOuter: 'outer' } as const satisfies Record<
    RingMeasure,
    RingUnknown
  >;
  const diameter = (name: RingMeasure) => (name === 'ringOuter' ? 2 : 1);
  return covarianceOf(
    ringMeasures,
    (a, b) => diameter(a) * diameter(b) * covariance[fitted[a]][fitted[b]] + (light[a]?.[b] ?? 0),
  );
}
