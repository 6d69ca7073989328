import { fieldSize } from '../geometry/lens_field.ts';
import { covarianceAt } from '../numerics/joint_covariance.ts';
import { type LensProfile, lensCount } from './lens_profile.ts';
import type { MatSolution } from './mat_summary.ts';
import { indices } from './parameters.ts';

/** The lens that the adjustment found for the photo at this place of its list; undefined where it found none. */
export function lensFound(
  mat: MatSolution,
  photo: number,
): Pick<LensProfile, 'grid' | 'values' | 'covariance'> | undefined {
  const index = mat.index.cameras[photo];
  if (!index || !mat.covariance) return undefined;
  const { grid, at } = index.field;
  const where = [...indices(index.lens, lensCount), ...indices(at, 2 * fieldSize(grid))];
  const n = where.length;
  const covariance = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) covariance[i * n + j] = covarianceAt(mat.covariance, where[i]!, where[j]!);
  return { grid, values: where.map((i) => mat.values[i]!), covariance };
}
