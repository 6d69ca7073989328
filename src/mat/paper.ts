import { choleskyFactor, choleskySolve } from '../numerics/cholesky.ts';
import { tagPlace, tagsPerTile, type TilePoint } from './tile.ts';

/**
 * A page as a surface: heights (mm) at the centres of its ten tags, in the order of their ids, and between and beyond
 * them the smooth surface most likely to go through them (Rasmussen, Williams, "Gaussian processes for machine
 * learning", 2006, section 2.2, squared-exponential covariance), which falls back to flat away from the tags.
 */

/** Over this distance paper forgets its height, mm: waves of 160 mm pass, of 80 mm no longer (chosen, no source). */
const grain = 50;
/** What of a page's heights is no wave of that length: a share of their variance that belongs to each tag alone. */
const roughness = 1e-3;

const nodes: readonly TilePoint[] = Array.from({ length: tagsPerTile }, (_, i) => tagPlace(i)!.centre);

const alike = (a: TilePoint, b: TilePoint): number =>
  Math.exp(-((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) / (2 * grain ** 2));

/** Lower Cholesky factor of the heights' correlation, 10 x 10. */
export const heightCorrelationFactor: Float64Array = choleskyFactor(
  Float64Array.from(nodes.flatMap((a) => nodes.map((b) => alike(a, b) + (a === b ? roughness : 0)))),
  tagsPerTile,
)!;

/** What each tag's height adds to the page's height at a place of the tile (nominal mm): ten weights. */
export const heightWeights = (place: TilePoint): Float64Array =>
  choleskySolve(
    heightCorrelationFactor,
    tagsPerTile,
    Float64Array.from(nodes, (node) => alike(place, node)),
  );

/** The share of the heights' variance that the tags leave open at a place of the tile: 0 at a tag, 1 far from all. */
export function openShare(place: TilePoint): number {
  const weights = heightWeights(place);
  return Math.max(1 - nodes.reduce((sum, node, i) => sum + weights[i]! * alike(place, node), 0), 0);
}

/**
 * What the heights at the tags leave open of the page's heights at some places of it (nominal mm), as a share of the
 * heights' variance: the lower Cholesky factor of the places' covariance, row by row.
 */
export function openFactor(places: readonly TilePoint[]): Float64Array {
  const weights = places.map(heightWeights);
  const open = (a: TilePoint, w: Float64Array, b: TilePoint) =>
    alike(a, b) - nodes.reduce((sum, node, i) => sum + w[i]! * alike(b, node), 0);
  return choleskyFactor(
    Float64Array.from(
      places.flatMap((a, i) => places.map((b, j) => open(a, weights[i]!, b) + (i === j ? leastOpen : 0))),
    ),
    places.length,
  )!;
}

/** Keeps rounding from making that covariance none. */
const leastOpen = 1e-6;
