import { expect, test } from 'vitest';
import { changeOfLevels, nextLevels } from '../../src/adjust/mat_levels.ts';
import { prior } from '../../src/adjust/prior.ts';
import type { MatBlocks } from '../../src/adjust/mat_problem.ts';
import { jointCovariance } from '../../src/numerics/joint_covariance.ts';
import { seededNormal } from '../world/seeded_random.ts';

const count = 60;
const before = { corner: 0.1, paper: 0.3, field: 0.3 };

/**
 * Sixty heights, as many coefficients and as many corners, drawn with these sizes; heights and coefficients are
 * measured to `reading`, each corner stands for a place of its own that is known beforehand.
 */
function drawn(sizes: typeof before, reading: number) {
  const normal = seededNormal(11);
  const values = Float64Array.from(
    { length: 3 * count },
    (_, i) => normal() * (i < count ? sizes.paper : i < 2 * count ? sizes.field : sizes.corner),
  );
  const own = (from: number, sigma: number) => Array.from({ length: count }, (_, i) => prior(from + i, 0, sigma));
  const blocks: MatBlocks = {
    known: [...own(0, reading), ...own(count, reading), ...own(2 * count, 1e-6)],
    paper: own(0, before.paper),
    field: own(count, before.field),
    tags: own(2 * count, before.corner).map((block) => ({ photo: 0, tile: 0, block })),
    cardTags: [],
  };
  const all = [...blocks.known, ...blocks.paper, ...blocks.field, ...blocks.tags.map(({ block }) => block)];
  return { blocks, values, covariance: jointCovariance(all, values, { constant: new Set() })! };
}

test('paper and lens are as large as what is measured of them says, what was believed weighing little', () => {
  const sizes = { corner: 0.2, paper: 0.9, field: 0.05 };
  const { blocks, values, covariance } = drawn(sizes, 1e-6);
  const next = nextLevels(blocks, before, { values, covariance }, before);
  expect(next.paper).toBeGreaterThan(0.75);
  expect(next.paper).toBeLessThan(1.05);
  expect(next.field).toBeLessThan(0.1);
  expect(next.corner).toBeGreaterThan(0.16);
  expect(next.corner).toBeLessThan(0.24);
  expect(changeOfLevels(before, next)).toBeCloseTo(
    Math.max(...(['corner', 'paper', 'field'] as const).map((k) => Math.abs(next[k] / before[k] - 1))),
    12,
  );
});

test('where nothing is measured, what was believed stands', () => {
  const { blocks, values, covariance } = drawn({ ...before, paper: 0, field: 0 }, 1e6);
  const next = nextLevels(blocks, before, { values, covariance }, before);
  expect(next.paper).toBeCloseTo(before.paper, 3);
  expect(next.field).toBeCloseTo(before.field, 3);
});

test('no corner is read better than lines along its edges can be', () => {
  const { blocks, values, covariance } = drawn({ ...before, corner: 1e-4 }, 1e-6);
  expect(nextLevels(blocks, before, { values, covariance }).corner).toBe(0.03);
});
