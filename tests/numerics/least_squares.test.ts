import { describe, expect, test } from 'vitest';
import { gaussNewtonStep, parameterCovariance, solveLeastSquares } from '../../src/numerics/least_squares.ts';
import type { ResidualBlock } from '../../src/numerics/residual_block.ts';
import { varianceFactor } from '../../src/numerics/variance_components.ts';
import { seededNormal, seededUniform } from '../world/seeded_random.ts';

/** Straight-line observations (value - a - b x) / sigma. */
function line(points: readonly [x: number, y: number][], sigma: number, robust?: number): ResidualBlock[] {
  return points.map(([x, y]) => ({
    parameters: [0, 1],
    size: 1,
    ...(robust === undefined ? {} : { robust }),
    evaluate(values, residuals, jacobian) {
      residuals[0] = (values[0]! + values[1]! * x - y) / sigma;
      if (jacobian) jacobian.set([1 / sigma, x / sigma]);
    },
  }));
}

/** The calibration line of JCGM 100:2008 (GUM), H.3: corrections of a thermometer, t0 = 20 degrees. */
const temperatures = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511];
const corrections = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];

describe('covariance', () => {
  test('the calibration line of GUM H.3: -0.1712(29), 0.00218(67), r = -0.930, 30 degrees: -0.1494(41)', () => {
    const blocks = line(
      temperatures.map((t, i) => [t - 20, corrections[i]!]),
      1,
    );
    const { values, ending } = solveLeastSquares(blocks, new Float64Array(2));
    expect(ending).toMatch(/converged/);
    const factor = varianceFactor(blocks, values, 2);
    const c = parameterCovariance(blocks, values)!.map((v) => v * factor);
    expect(values[0]).toBeCloseTo(-0.1712, 4);
    expect(values[1]).toBeCloseTo(0.00218, 5);
    expect(Math.sqrt(factor)).toBeCloseTo(0.0035, 4);
    expect(Math.sqrt(c[0]!)).toBeCloseTo(0.0029, 4);
    expect(Math.sqrt(c[3]!)).toBeCloseTo(0.00067, 5);
    expect(c[1]! / Math.sqrt(c[0]! * c[3]!)).toBeCloseTo(-0.93, 3);
    expect(values[0]! + 10 * values[1]!).toBeCloseTo(-0.1494, 4);
    expect(Math.sqrt(c[0]! + 20 * c[1]! + 100 * c[3]!)).toBeCloseTo(0.0041, 4);
  });

  test('is undefined when the observations leave a parameter open, and defined once it is held', () => {
    // Two parameters of which only the sum shows.
    const sum: ResidualBlock = {
      parameters: [0, 1],
      size: 2,
      evaluate(values, residuals, jacobian) {
        residuals.set([values[0]! + values[1]! - 3, 2 * (values[0]! + values[1]! - 3)]);
        if (jacobian) jacobian.set([1, 1, 2, 2]);
      },
    };
    const { values } = solveLeastSquares([sum], new Float64Array([5, 7]));
    expect(values[0]! + values[1]!).toBeCloseTo(3, 9);
    expect(parameterCovariance([sum], values)).toBeUndefined();
    const held = parameterCovariance([sum], values, new Set([1]))!;
    expect(held[0]).toBeCloseTo(1 / 5, 12);
    expect([held[1], held[2], held[3]]).toEqual([0, 0, 0]);
  });

  test('is undefined when no observation touches a parameter', () => {
    const values = new Float64Array([1, 2, 3]);
    expect(
      parameterCovariance(
        line(
          [
            [0, 0],
            [1, 1],
            [2, 2],
          ],
          1,
        ),
        values,
      ),
    ).toBeUndefined();
  });
});

describe('robust loss', () => {
  const normal = seededNormal(11);
  const clean = Array.from({ length: 60 }, (_, i): [number, number] => [i / 10, 1 + 0.5 * (i / 10) + 0.02 * normal()]);
  // A fifth of the points far off, all to one side.
  const spoilt = clean.map(([x, y], i): [number, number] => [x, i % 5 === 2 ? y + 3 + x : y]);

  test('outliers that carry off plain squares leave it where the clean points have it', () => {
    const start = new Float64Array([0.8, 0.6]);
    const truth = solveLeastSquares(line(clean, 0.02), start).values;
    const plain = solveLeastSquares(line(spoilt, 0.02), start).values;
    const robust = solveLeastSquares(line(spoilt, 0.02, 3), start).values;
    expect(Math.abs(plain[0]! - truth[0]!)).toBeGreaterThan(0.3);
    expect(Math.abs(robust[0]! - truth[0]!)).toBeLessThan(0.01);
    expect(Math.abs(robust[1]! - truth[1]!)).toBeLessThan(0.004);
  });

  test('without outliers it costs little: the same line within a fifth of its standard deviation', () => {
    const start = new Float64Array([0, 0]);
    const plain = line(clean, 0.02);
    const truth = solveLeastSquares(plain, start).values;
    const robust = solveLeastSquares(line(clean, 0.02, 3), start).values;
    const c = parameterCovariance(plain, truth)!;
    expect(Math.abs(robust[0]! - truth[0]!)).toBeLessThan(0.2 * Math.sqrt(c[0]!));
    expect(Math.abs(robust[1]! - truth[1]!)).toBeLessThan(0.2 * Math.sqrt(c[3]!));
  });
});

describe('a single step', () => {
  const points = temperatures.map((t, i): [number, number] => [t - 20, corrections[i]!]);

  test('reaches the least squares of a straight line at once, with their covariance', () => {
    const blocks = line(points, 0.004);
    const step = gaussNewtonStep(blocks, Float64Array.of(3, -2))!;
    const { values } = solveLeastSquares(blocks, new Float64Array(2));
    const covariance = parameterCovariance(blocks, values)!;
    for (const i of [0, 1]) expect(step.values[i]).toBeCloseTo(values[i]!, 10);
    for (const [k, c] of covariance.entries()) expect(step.sharedCovariance()[k]! / c).toBeCloseTo(1, 9);
  });

  test('goes the same way where a parameter is eliminated, and keeps its doubt in those that are left', () => {
    const blocks = line(points, 0.004);
    const whole = gaussNewtonStep(blocks, Float64Array.of(3, -2))!;
    const parted = gaussNewtonStep(blocks, Float64Array.of(3, -2), { groups: [[1]] })!;
    for (const i of [0, 1]) expect(parted.values[i]).toBeCloseTo(whole.values[i]!, 10);
    expect(parted.sharedCovariance()).toHaveLength(1);
    expect(parted.sharedCovariance()[0]! / whole.sharedCovariance()[0]!).toBeCloseTo(1, 9);
  });

  test('is none where the observations leave a parameter open', () => {
    const [only] = line([[1, 2]], 1);
    expect(gaussNewtonStep([only!], new Float64Array(2))).toBeUndefined();
  });
});

test('residuals of one block whose loss is taken apart weigh as so many blocks of their own', () => {
  const points = temperatures.map((t, i): [number, number] => [t - 20, corrections[i]! + (i === 4 ? 0.2 : 0)]);
  const single = line(points, 0.004, 2);
  const together: ResidualBlock = {
    parameters: [0, 1],
    size: single.length,
    robust: 2,
    apart: true,
    evaluate(values, residuals, jacobian) {
      for (const [k, block] of single.entries())
        block.evaluate(values, residuals.subarray(k, k + 1), jacobian?.subarray(2 * k, 2 * k + 2));
    },
  };
  const each = solveLeastSquares(single, new Float64Array(2));
  const one = solveLeastSquares([together], new Float64Array(2));
  expect(one.cost).toBeCloseTo(each.cost, 12);
  expect(one.values).toEqual(each.values);
  expect(solveLeastSquares([{ ...together, apart: false }], new Float64Array(2)).cost).not.toBeCloseTo(each.cost, 3);
});

describe('endings', () => {
  /** Rosenbrock's valley, 1960: the minimum 0 at (1, 1). */
  const valley: ResidualBlock = {
    parameters: [0, 1],
    size: 2,
    evaluate(values, residuals, jacobian) {
      residuals.set([10 * (values[1]! - values[0]! ** 2), 1 - values[0]!]);
      if (jacobian) jacobian.set([-20 * values[0]!, 10, -1, 0]);
    },
  };

  test('a curved valley is followed to its minimum', () => {
    const solution = solveLeastSquares([valley], new Float64Array([-1.2, 1]));
    expect(solution.usable).toBe(true);
    expect(solution.values[0]).toBeCloseTo(1, 8);
    expect(solution.values[1]).toBeCloseTo(1, 8);
    expect(solution.startCost).toBeCloseTo(24.2 / 2, 10);
    expect(solution.residualCount).toBe(2);
  });

  test('too few iterations are said, and the values are no answer', () => {
    const solution = solveLeastSquares([valley], new Float64Array([-1.2, 1]), { maximumIterations: 3 });
    expect(solution.ending).toBe('iteration-limit');
    expect(solution.usable).toBe(false);
    expect(solution.cost).toBeLessThan(solution.startCost);
  });

  test('a start where a residual is not a number ends at once', () => {
    const broken: ResidualBlock = {
      parameters: [0],
      size: 1,
      evaluate(values, residuals) {
        residuals[0] = Math.sqrt(values[0]!);
      },
    };
    const solution = solveLeastSquares([broken], new Float64Array([-1]));
    expect(solution.ending).toBe('not-finite');
    expect(solution.usable).toBe(false);
  });

  test('a step into a place without value turns back and still arrives', () => {
    const root: ResidualBlock = {
      parameters: [0],
      size: 1,
      evaluate(values, residuals, jacobian) {
        residuals[0] = Math.log(values[0]!);
        if (jacobian) jacobian[0] = 1 / values[0]!;
      },
    };
    const solution = solveLeastSquares([root], new Float64Array([20]));
    expect(solution.usable).toBe(true);
    expect(solution.values[0]).toBeCloseTo(1, 8);
  });

  test('a wrong derivative is told as no way down, never as an endless search', () => {
    const lying: ResidualBlock = {
      parameters: [0],
      size: 1,
      evaluate(values, residuals, jacobian) {
        residuals[0] = values[0]! - 2;
        if (jacobian) jacobian[0] = -1;
      },
    };
    const solution = solveLeastSquares([lying], new Float64Array([0]));
    expect(solution.ending).toBe('cannot-descend');
    expect(solution.usable).toBe(false);
    expect(solution.values[0]).toBe(0);
  });

  test('constant parameters stay, and the start is not touched', () => {
    const uniform = seededUniform(4);
    const points = Array.from({ length: 9 }, (_, i): [number, number] => [i, uniform()]);
    const start = new Float64Array([0.25, 3]);
    const { values } = solveLeastSquares(line(points, 1), start, { constant: new Set([0]) });
    expect([...start]).toEqual([0.25, 3]);
    expect(values[0]).toBe(0.25);
    const slope = points.reduce((sum, [x, y]) => sum + x * (y - 0.25), 0) / points.reduce((sum, [x]) => sum + x * x, 0);
    expect(values[1]).toBeCloseTo(slope, 10);
  });
});
