import type { ResidualBlock } from '../numerics/residual_block.ts';
import type { JointCovariance } from '../numerics/joint_covariance.ts';
import { varianceComponent } from '../numerics/variance_components.ts';
import { expectedLevels, type Levels, type MatBlocks } from './mat_problem.ts';

/**
 * What is believed of paper and lens before the residuals speak: as much as this many tags or coefficients seen without
 * any doubt would say. A walk of four pages has forty tags, so its own word weighs more.
 */
const believed = { paper: 3, field: 3 };
/** No corner is read better, pixels: lines along its edges share their neighbours' noise. */
const leastCorner = 0.03;

/** The levels as residuals, heights and field at this solution bear them out, degrees of freedom counted. */
export function nextLevels(
  blocks: MatBlocks,
  levels: Levels,
  { values, covariance }: { values: Float64Array; covariance: JointCovariance },
  before: Levels = expectedLevels,
): Levels {
  const corners = varianceComponent(
    blocks.tags.map(({ block }) => block),
    values,
    covariance,
  );
  const shape = (own: ResidualBlock[], kind: 'paper' | 'field') => {
    const { squares, freedom } = varianceComponent(own, values, covariance);
    const prior = believed[kind] * before[kind] ** 2;
    return Math.sqrt((prior + levels[kind] ** 2 * squares) / (believed[kind] + freedom));
  };
  return {
    corner:
      corners.freedom > 1
        ? Math.max(levels.corner * Math.sqrt(corners.squares / corners.freedom), leastCorner)
        : levels.corner,
    paper: shape(blocks.paper, 'paper'),
    field: shape(blocks.field, 'field'),
  };
}

/** The largest change of any level, as a share of itself. */
export const changeOfLevels = (from: Levels, to: Levels): number =>
  Math.max(...(['corner', 'paper', 'field'] as const).map((kind) => Math.abs(to[kind] / from[kind] - 1)));
