import { describe, expect, test } from 'vitest';
import { continuation, newton, type NewtonOptions } from '../../src/numerics/newton.ts';

const options: NewtonOptions = { steps: [1e-6, 1e-6], reach: [10, 10], tolerance: 1e-10, allowed: () => true };

/** A circle of radius 5 and a line through its middle: they meet at (3, 4) and (-3, -4). */
const circleAndLine = ([x, y]: readonly number[]) => [x! ** 2 + y! ** 2 - 25, 4 * x! - 3 * y!];

describe('newton', () => {
  test('finds the solution nearest to where it begins', () => {
    expect(newton(circleAndLine, [2, 5], options)!.map((v) => Number(v.toFixed(8)))).toEqual([3, 4]);
    expect(newton(circleAndLine, [-2, -5], options)!.map((v) => Number(v.toFixed(8)))).toEqual([-3, -4]);
  });

  test('halves steps that lead astray: the arc tangent from far outside its own convergence', () => {
    const [x] = newton(([v]) => [Math.atan(v!)], [3], { ...options, steps: [1e-6] })!;
    expect(Math.abs(x!)).toBeLessThan(1e-9);
  });

  test('never asks where it must not', () => {
    const asked: number[] = [];
    const root = ([v]: readonly number[]) => (asked.push(v!), [Math.log(v!) + 2]);
    const [x] = newton(root, [1], { ...options, steps: [1e-6], allowed: ([v]) => v! > 0 })!;
    expect(x).toBeCloseTo(Math.exp(-2), 9);
    expect(Math.min(...asked)).toBeGreaterThan(0);
  });

  test('says nothing where there is no solution, or only one beyond its reach', () => {
    expect(newton(([v]) => [v! ** 2 + 1], [3], { ...options, steps: [1e-6] })).toBeUndefined();
    expect(newton(([v]) => [v! - 20], [0], { ...options, steps: [1e-6] })).toBeUndefined();
    expect(newton(() => [Number.NaN], [0], options)).toBeUndefined();
  });
});

describe('continuation', () => {
  const solve = (parameter: number, guess: readonly number[]) =>
    newton(([v]) => [v! ** 3 - 1 - 26 * parameter], guess, { ...options, steps: [1e-6], reach: [0.6] });

  test('follows a solution to the end though single steps may reach a little way only', () => {
    const { reached, solution } = continuation(solve, [1], 1);
    expect(reached).toBe(1);
    expect(solution[0]).toBeCloseTo(3, 8);
  });

  test('says how far it came where the solution ends', () => {
    // a square root of 1 - 2 p: none beyond a half
    const ends = (p: number, guess: readonly number[]) =>
      newton(([v]) => [v! ** 2 - (1 - 2 * p)], guess, { ...options, steps: [1e-6], allowed: ([v]) => v! > -1e-3 });
    const { reached } = continuation(ends, [1], 0.25);
    expect(reached).toBeLessThanOrEqual(0.5);
    expect(reached).toBeGreaterThan(0.49);
  });
});
