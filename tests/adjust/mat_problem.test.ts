import { expect, test } from 'vitest';
import { allBlocks, blocksAt, ownUnknowns, poseMat } from '../../src/adjust/mat_problem.ts';
import { covarianceAt, jointCovariance } from '../../src/numerics/joint_covariance.ts';
import { parameterCovariance, solveLeastSquares } from '../../src/numerics/least_squares.ts';
import { drawShoot } from '../world/drawn_shoot.ts';
import { seededNormal } from '../world/seeded_random.ts';
import { observePhotos } from '../world/world.ts';

test('a walk solved with each photo eliminated is that of the dense normal equations, its doubts too', () => {
  const { world, readings, corner } = drawShoot(31, { tiles: 3, photos: 7 });
  const problem = poseMat(observePhotos(world, { corner, next: seededNormal(4) }), readings)!;
  const groups = ownUnknowns(problem);
  expect(groups.map((group) => group.length)).toEqual(Array(7).fill(10));
  const blocks = allBlocks(blocksAt(problem, problem.believed));
  const sorting = { constant: problem.held, groups };
  const [dense, eliminated] = [{ constant: problem.held }, sorting].map((how) =>
    solveLeastSquares(blocks, problem.start, { ...how, maximumIterations: 60 }),
  );
  expect(eliminated!.ending).toBe(dense!.ending);
  const { values } = dense!;
  const n = values.length;
  const whole = parameterCovariance(blocks, values, problem.held)!;
  const parts = jointCovariance(blocks, values, sorting)!;
  const sigma = values.map((_, p) => Math.sqrt(whole[p * (n + 1)]!) || 1);
  let farthest = { value: 0, covariance: 0 };
  for (let p = 0; p < n; p++) {
    const off = Math.abs(eliminated!.values[p]! - values[p]!) / sigma[p]!;
    farthest = { ...farthest, value: Math.max(farthest.value, off) };
    for (let q = 0; q < n; q++) {
      const share = Math.abs(covarianceAt(parts, p, q) - whole[p * n + q]!) / (sigma[p]! * sigma[q]!);
      farthest = { ...farthest, covariance: Math.max(farthest.covariance, share) };
    }
  }
  // in standard deviations, and as a share of them
  expect(farthest.value).toBeLessThan(1e-6);
  expect(farthest.covariance).toBeLessThan(1e-9);
});
