import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { parameterCovariance, solveLeastSquares } from '../../src/numerics/least_squares.ts';
import { differencedBlock, type ResidualBlock } from '../../src/numerics/residual_block.ts';
import { varianceFactor } from '../../src/numerics/variance_components.ts';

/**
 * The solver against the certified values of NIST's Statistical Reference Datasets (fixtures/nist), to the six digits
 * that NIST takes for agreement.
 */
interface Certified {
  starts: [number[], number[]];
  parameters: number[];
  deviations: number[];
  sumOfSquares: number;
  points: [y: number, x: number][];
}

function read(name: string): Certified {
  const text = readFileSync(new URL(`../../fixtures/nist/${name}.dat`, import.meta.url), 'utf8');
  const rows = [...text.matchAll(/^ *b\d =(.*)$/gm)].map((m) => m[1]!.trim().split(/\s+/).map(Number));
  const column = (i: number) => rows.map((row) => row[i]!);
  return {
    starts: [column(0), column(1)],
    parameters: column(2),
    deviations: column(3),
    sumOfSquares: Number(/Residual Sum of Squares: *(\S+)/.exec(text)![1]),
    points: text
      .split(/^Data:.*$/m)[1]!
      .trim()
      .split('\n')
      .map((line) => line.trim().split(/\s+/).map(Number) as [number, number]),
  };
}

/** Value and derivatives by the parameters. */
type Model = (x: number, b: Float64Array) => [value: number, by: number[]];

const models: Record<string, Model> = {
  Misra1a: (x, b) => {
    const e = Math.exp(-b[1]! * x);
    return [b[0]! * (1 - e), [1 - e, b[0]! * x * e]];
  },
  Thurber: (x, b) => {
    const powers = [1, x, x * x, x * x * x];
    const top = powers.reduce((sum, p, i) => sum + b[i]! * p, 0);
    const bottom = 1 + b[4]! * x + b[5]! * x * x + b[6]! * x * x * x;
    const below = powers.slice(1).map((p) => (-top * p) / (bottom * bottom));
    return [top / bottom, [...powers.map((p) => p / bottom), ...below]];
  },
  MGH09: (x, b) => {
    const top = x * x + x * b[1]!;
    const bottom = x * x + x * b[2]! + b[3]!;
    const value = (b[0]! * top) / bottom;
    return [value, [top / bottom, (b[0]! * x) / bottom, (-value * x) / bottom, -value / bottom]];
  },
};

function blocksOf(points: readonly [number, number][], model: Model, count: number): ResidualBlock[] {
  return points.map(([y, x]) => ({
    parameters: Array.from({ length: count }, (_, i) => i),
    size: 1,
    evaluate(values, residuals, jacobian) {
      const [value, by] = model(x, values);
      residuals[0] = value - y;
      if (jacobian) by.forEach((d, i) => (jacobian[i] = d));
    },
  }));
}

const relative = (value: number, truth: number) => Math.abs(value - truth) / Math.abs(truth);

describe.each(['Misra1a', 'Thurber', 'MGH09'])('%s', (name) => {
  const certified = read(name);
  const count = certified.parameters.length;
  const blocks = blocksOf(certified.points, models[name]!, count);

  test.each([0, 1] as const)('from start %i: parameters and standard deviations to six digits', (which) => {
    const solution = solveLeastSquares(blocks, Float64Array.from(certified.starts[which]), {
      maximumIterations: 500,
    });
    expect(solution.usable, solution.ending).toBe(true);
    for (let i = 0; i < count; i++)
      expect(relative(solution.values[i]!, certified.parameters[i]!), `b${i + 1}`).toBeLessThan(5e-7);
    expect(relative(2 * solution.cost, certified.sumOfSquares)).toBeLessThan(1e-9);
    const factor = varianceFactor(blocks, solution.values, count);
    const covariance = parameterCovariance(blocks, solution.values)!;
    for (let i = 0; i < count; i++)
      expect(
        relative(Math.sqrt(factor * covariance[i * count + i]!), certified.deviations[i]!),
        `sd of b${i + 1}`,
      ).toBeLessThan(5e-7);
  });

  test('with derivatives by differences: the same to five digits', () => {
    const residual = (b: readonly number[]) =>
      certified.points.map(([y, x]) => models[name]!(x, Float64Array.from(b))[0] - y);
    const steps = certified.parameters.map((b) => 1e-5 * Math.abs(b));
    const differenced = [differencedBlock(residual, certified.points.length, steps)];
    const { values, usable } = solveLeastSquares(differenced, Float64Array.from(certified.starts[1]));
    expect(usable).toBe(true);
    for (let i = 0; i < count; i++)
      expect(relative(values[i]!, certified.parameters[i]!), `b${i + 1}`).toBeLessThan(5e-6);
  });
});
