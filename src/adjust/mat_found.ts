import { covarianceAt } from '../numerics/joint_covariance.ts';
import { tagsPerTile } from '../mat/tile.ts';
import type { MatReadings } from '../plan/shoot.ts';
import type { MatProfile } from './mat_profile.ts';
import type { MatSolution } from './mat_summary.ts';
import { indices } from './parameters.ts';

/**
 * The mat as an adjustment has it, to be kept: pages, print scale and their covariance. Undefined where the photos do
 * not determine them.
 */
export function matFound(
  { tiles, printScale, levels, covariance, index, cameras }: MatSolution,
  readings: MatReadings = {},
): MatProfile | undefined {
  if (!covariance) return undefined;
  const where = [
    ...tiles.flatMap(({ tile }) => {
      const { place, heights } = index.tiles.get(tile)!;
      return [...indices(place, 3), ...indices(heights, tagsPerTile)];
    }),
    ...indices(index.printScale, 2),
  ];
  const n = where.length;
  const own = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) own[i * n + j] = covarianceAt(covariance, where[i]!, where[j]!);
  return {
    name: '',
    photos: cameras.filter((camera) => camera !== undefined).length,
    readings,
    paper: levels.paper,
    tiles,
    printScale,
    covariance: own,
  };
}
