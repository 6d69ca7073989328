import { describe, expect, test } from 'vitest';
import { covarianceAt, covarianceBetween, jointCovariance } from '../../src/numerics/joint_covariance.ts';
import { parameterCovariance, solveLeastSquares } from '../../src/numerics/least_squares.ts';
import type { ResidualBlock } from '../../src/numerics/residual_block.ts';
import { sortUnknowns } from '../../src/numerics/unknowns.ts';
import { seededNormal, seededUniform } from '../world/seeded_random.ts';

/**
 * A drawn problem of the kind: `shared` parameters that many blocks see, and groups of three that only their own blocks
 * see; every residual bends a little, some blocks are robust.
 */
function drawn(seed: number, groups: number, shared: number) {
  const uniform = seededUniform(seed);
  const normal = seededNormal(seed + 1);
  const count = shared + 3 * groups;
  // Groups stand among the shared ones, as cameras do among lenses and pages.
  const order = Array.from({ length: count }, (_, i) => i).toSorted(() => uniform() - 0.5);
  const common = order.slice(0, shared);
  const own = Array.from({ length: groups }, (_, g) => order.slice(shared + 3 * g, shared + 3 * g + 3));
  const block = (parameters: number[]): ResidualBlock => {
    const by = parameters.map(() => normal());
    const bend = 0.05 * normal();
    const read = 2 * normal();
    return {
      parameters,
      size: 2,
      ...(uniform() < 0.3 && { robust: 3 }),
      evaluate(values, residuals, jacobian) {
        const sum = parameters.reduce((all, p, i) => all + by[i]! * values[p]!, 0);
        residuals.set([sum + bend * sum * sum - read, 0.3 * sum - values[parameters[0]!]!]);
        for (let i = 0; jacobian && i < parameters.length; i++) {
          jacobian[i] = by[i]! * (1 + 2 * bend * sum);
          jacobian[parameters.length + i] = 0.3 * by[i]! - (i === 0 ? 1 : 0);
        }
      },
    };
  };
  const some = (list: readonly number[], most: number) => list.toSorted(() => uniform() - 0.5).slice(0, most);
  const blocks = [
    ...own.flatMap((group) => Array.from({ length: 7 }, () => block([...group, ...some(common, 4)]))),
    ...common.map((p) => block([p])),
  ];
  return { blocks, own, common, start: new Float64Array(count) };
}

describe('groups eliminated one by one', () => {
  test('lead to the same minimum, and leave the same doubt, as the dense normal equations', () => {
    for (const [seed, groups, shared] of [
      [1, 1, 3],
      [2, 5, 6],
      [3, 12, 9],
      [4, 6, 0],
    ] as const) {
      const { blocks, own, common, start } = drawn(seed, groups, shared);
      const constant = new Set([...common.slice(0, 1), own[0]![1]!]);
      const dense = solveLeastSquares(blocks, start, { constant });
      const solved = solveLeastSquares(blocks, start, { constant, groups: own });
      expect(solved.ending).toBe(dense.ending);
      solved.values.forEach((value, i) => expect(value).toBeCloseTo(dense.values[i]!, 10));
      const n = start.length;
      const whole = parameterCovariance(blocks, dense.values, constant)!;
      const parts = jointCovariance(blocks, dense.values, { constant, groups: own })!;
      for (let p = 0; p < n; p++)
        for (let q = 0; q < n; q++) expect(covarianceAt(parts, p, q)).toBeCloseTo(whole[p * n + q]!, 12);
      const normal = seededNormal(seed + 9);
      const [g, h] = [0, 1].map(() => start.map(() => (normal() > 0 ? normal() : 0))) as [Float64Array, Float64Array];
      const expected = g.reduce((sum, a, p) => sum + a * h.reduce((row, b, q) => row + whole[p * n + q]! * b, 0), 0);
      expect(covarianceBetween(parts, g, h)).toBeCloseTo(expected, 10);
      expect(covarianceBetween(parts, g, g)).toBeGreaterThan(0);
    }
  });

  test('where a group is open, or what is shared, the covariance is undefined as the dense one is', () => {
    const { blocks, own, start } = drawn(5, 4, 5);
    const without = (list: readonly number[]) =>
      blocks.filter(({ parameters }) => list.every((p) => !Array.from(parameters).includes(p)));
    for (const open of [own[2]!, [own[1]![0]!]]) {
      const left = without(open);
      expect(parameterCovariance(left, start)).toBeUndefined();
      expect(jointCovariance(left, start, { groups: own })).toBeUndefined();
    }
  });

  test('a block that touches two groups is refused', () => {
    const { blocks, own, start } = drawn(6, 3, 4);
    const across: ResidualBlock = { ...blocks[0]!, parameters: [own[0]![0]!, own[1]![0]!] };
    expect(() => sortUnknowns([...blocks, across], start.length, { groups: own })).toThrow(RangeError);
  });
});
