import type { ProfileEdge } from './edge_profile.ts';
import type { RimSample } from './rim_edges.ts';

/** Which of a rim's edges is taken for the rim's (measured on rendered rings, no source). */
const likely = {
  /** below this weight none is */
  least: 0.02,
  /** an edge so many times as steep as the noise is worth half of a sharp one */
  halfWorth: 6,
  /**
   * what is left of an edge's weight when another clear one lies outside it: reflections lie inside the silhouette,
   * never outside
   */
  behind: 0.4,
  /** how far outside, mm and pixels: about the rounding of a ring's edge */
  beyond: 0.35,
  beyondPixels: 0.7,
  /**
   * nearer than this it is the same edge, pixels; and clear is one so many times as steep as noise, or half as steep as
   * this
   */
  apart: 0.5,
  clear: 4,
  clearShare: 0.5,
} as const;

/** What is known of a photo at the ring. */
export interface PhotoAtRing {
  /** of the luma, grey levels */
  noise: number;
  pxPerMm: number;
}

/**
 * The edge most likely the rim's: strong, and within about `spread` pixels of where the rim is `expected` (pixels along
 * the sample's outward direction).
 */
export function likeliestEdge(
  sample: RimSample,
  edges: readonly ProfileEdge[],
  expected: number,
  spread: number,
  { noise, pxPerMm }: PhotoAtRing,
): ProfileEdge | undefined {
  const silhouette = sample.rim.part === 'outline';
  const within = likely.beyondPixels + likely.beyond * pxPerMm;
  let best: number = likely.least;
  let likeliest: ProfileEdge | undefined;
  for (const edge of edges) {
    const d = (edge.offset - expected) / spread;
    const strength = Math.abs(edge.slope) / (Math.abs(edge.slope) + likely.halfWorth * noise);
    const behind = silhouette && hasEdgeBeyond(sample, edge, noise, within) ? likely.behind : 1;
    const weight = strength * Math.exp(-0.5 * d * d) * behind;
    if (weight > best) {
      best = weight;
      likeliest = edge;
    }
  }
  return likeliest;
}

function hasEdgeBeyond(sample: RimSample, edge: ProfileEdge, noise: number, within: number): boolean {
  return sample.edges.some(
    (e) =>
      e.offset > edge.offset + likely.apart &&
      e.offset < edge.offset + within &&
      Math.abs(e.slope) > Math.min(likely.clear * noise, likely.clearShare * Math.abs(edge.slope)),
  );
}
