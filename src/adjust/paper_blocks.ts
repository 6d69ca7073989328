import { heightCorrelationFactor } from '../mat/paper.ts';
import { tagPlace, tagsPerTile } from '../mat/tile.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import { inverseOfLower } from './joint_prior.ts';
import type { TilePlace } from './mat_start.ts';
import { indices } from './parameters.ts';

/** Paper lies flat but for smooth waves of this size (mm): a tile's ten heights, made independent of each other. */
export function heightsBlock(heights: number, sigma: number): ResidualBlock {
  const whiten = inverseOfLower(heightCorrelationFactor, tagsPerTile);
  return {
    parameters: indices(heights, tagsPerTile),
    size: tagsPerTile,
    evaluate(values, residuals, jacobian) {
      for (let i = 0; i < tagsPerTile; i++) {
        let sum = 0;
        for (let j = 0; j <= i; j++) {
          const w = whiten[i * tagsPerTile + j]! / sigma;
          sum += w * values[heights + j]!;
          if (jacobian) jacobian[i * tagsPerTile + j] = w;
        }
        residuals[i] = sum;
      }
    },
  };
}

/** What fixes the bench's height and tilt, mm: tight against any paper, loose against rounding. */
const gauge = 0.003;

/**
 * The bench's z = 0 is the mean plane of all tags: mean height, and the heights' slopes along and across, are nothing.
 * `place`: where each tile lies before the adjustment, which is near enough for a gauge.
 */
export function gaugeBlock(tiles: readonly { place: TilePlace; heights: number }[]): ResidualBlock {
  const points = tiles.flatMap(({ place, heights }) =>
    Array.from({ length: tagsPerTile }, (_, i) => {
      const [u, v] = tagPlace(i)!.centre;
      const [c, s] = [Math.cos(place.yaw), Math.sin(place.yaw)];
      return { parameter: heights + i, x: place.x + c * u - s * v, y: place.y + s * u + c * v };
    }),
  );
  const mean = (pick: (p: (typeof points)[0]) => number) => points.reduce((sum, p) => sum + pick(p), 0) / points.length;
  const [mx, my] = [mean((p) => p.x), mean((p) => p.y)];
  const spread = { x: Math.sqrt(mean((p) => (p.x - mx) ** 2)), y: Math.sqrt(mean((p) => (p.y - my) ** 2)) };
  const rows = [() => 1, (p: { x: number }) => (p.x - mx) / spread.x, (p: { y: number }) => (p.y - my) / spread.y].map(
    (row) => points.map((p) => row(p) / points.length / gauge),
  );
  return {
    parameters: points.map(({ parameter }) => parameter),
    size: 3,
    evaluate(values, residuals, jacobian) {
      rows.forEach((row, k) => {
        residuals[k] = row.reduce((sum, weight, i) => sum + weight * values[points[i]!.parameter]!, 0);
        jacobian?.set(row, k * points.length);
      });
    },
  };
}
