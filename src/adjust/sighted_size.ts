import { type BlankAxis, crossSection } from '../geometry/blank_axis.ts';
import { cameraCentre } from '../geometry/camera.ts';
import { add, norm, scale, subtract } from '../geometry/vector.ts';
import { median } from '../numerics/robust.ts';
import type { RingSighting } from '../vision/finder/sighting.ts';
import type { View, PerView } from '../vision/strip.ts';

/**
 * Heights to expect before looking, blank's surface to centre: mm, and in outer radii (common practice, no source). A
 * ring touches the blank at 1, low frames stand at 1.4, high ones at 2.9; a tip-top's ring stands about over its
 * tube; a snake guide's centre is half way up its arch, its radius half its length. One photo alone has only this and
 * the size to go by.
 */
const heights = {
  ring: { from: 0, mean: 2, sigmaFrom: 0, sigma: 0.55 },
  'tip-top': { from: 0, mean: 0.85, sigmaFrom: 0.2, sigma: 0.2 },
  snake: { from: 1, mean: 0.2, sigmaFrom: 0.5, sigma: 0 },
} as const;

/**
 * How exactly a sighting tells the radius: standard deviation of the logarithm (0.1 on rods of the generator that the
 * finder was not trained on; other pictures are not like those), degrees of freedom of Student's distribution, and the
 * farthest that one may lie from the others; rounds of reweighting, after which the mean stands.
 */
export const radiusReading = { sigma: 0.15, freedom: 3, farthest: 0.7, rounds: 6 } as const;

/** Height to expect of a centre above the blank's surface, mm, by what it is and its outer radius. */
export function heightOf(kind: RingSighting['kind'], outer: number): { mean: number; sigma: number } {
  const { from, mean, sigmaFrom, sigma } = heights[kind];
  return { mean: from + mean * outer, sigma: sigmaFrom + sigma * outer };
}

/**
 * The ring's own outer radius from what the strips show: a ring nearer to the camera than the blank shows larger. Mean
 * of the logarithms under Student's distribution (a ring on edge is read far off at times), by reweighting (Lange,
 * Little and Taylor 1989); readings that scatter more than they should raise the doubt (Birge 1932).
 */
export function sightedSize(
  views: PerView<View>,
  axis: BlankAxis,
  sightings: readonly RingSighting[],
): { outer: number; sigma: number; cost: number } | undefined {
  const { sigma, freedom, farthest, rounds } = radiusReading;
  const logs = sightings.map(({ view, kind, along, radius }) => {
    const section = crossSection(axis, along);
    const eye = cameraCentre(views[view]!.camera);
    const lifted = add(section.point, scale(section.up, section.radius + heightOf(kind, radius).mean));
    return Math.log((radius * norm(subtract(lifted, eye))) / norm(subtract(section.point, eye)));
  });
  let mean = median(logs);
  let misses: number[] = [];
  let weights: number[] = [];
  for (let i = 0; i < rounds; i++) {
    misses = logs.map((log) => (log - mean) / sigma);
    weights = misses.map((miss) => (freedom + 1) / (freedom + miss ** 2));
    mean += (sigma * weights.reduce((sum, w, k) => sum + w * misses[k]!, 0)) / sum(weights);
  }
  if (misses.some((miss) => Math.abs(miss) * sigma > farthest)) return undefined;
  const outer = Math.exp(mean);
  const scatter = weights.reduce((total, w, k) => total + w * misses[k]! ** 2, 0) / Math.max(misses.length - 1, 1);
  const cost = sum(misses.map((miss) => ((freedom + 1) / 2) * Math.log(1 + miss ** 2 / freedom)));
  return { outer, sigma: sigma * outer * Math.sqrt(Math.max(1, scatter) / sum(weights)), cost };
}

const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);
