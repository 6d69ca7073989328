import { solveLinearSystem } from './linear_system.ts';

export interface NewtonOptions {
  /** difference step for each unknown, in its own unit */
  steps: readonly number[];
  /** largest change of each unknown that one call may make in total; beyond it another branch may have been caught */
  reach: readonly number[];
  /** largest absolute residual accepted as solved */
  tolerance: number;
  /** false for unknowns the residual must not be asked about */
  allowed: (x: readonly number[]) => boolean;
}

const largestOf = (values: readonly number[]): number => {
  let most = 0;
  for (const value of values) {
    if (!(Math.abs(value) <= most)) most = Math.abs(value);
  }
  return most;
};

/**
 * Newton's method with forward differences and step halving for a square system. Returns the solution, or undefined
 * when it does not converge, leaves what is allowed, or goes further from the start than `reach`.
 */
export function newton(
  residual: (x: readonly number[]) => number[],
  start: readonly number[],
  options: NewtonOptions,
): number[] | undefined {
  let x = [...start];
  let r = residual(x);
  for (let iteration = 0; iteration < 12; iteration++) {
    const size = largestOf(r);
    if (!Number.isFinite(size)) return undefined;
    if (size <= options.tolerance) return x;
    const jacobian = r.map(() => Array.from({ length: x.length }, () => 0));
    for (let j = 0; j < x.length; j++) {
      const h = options.steps[j]!;
      const moved = residual(x.with(j, x[j]! + h));
      for (let i = 0; i < r.length; i++) jacobian[i]![j] = (moved[i]! - r[i]!) / h;
    }
    const change = solveLinearSystem(jacobian, r);
    if (!change) return undefined;
    let accepted = false;
    for (let halving = 1; halving > 1 / 200; halving /= 2) {
      const trial = x.map((value, j) => value - halving * change[j]!);
      if (!options.allowed(trial)) continue;
      const trialResidual = residual(trial);
      if (!(largestOf(trialResidual) < size)) continue;
      x = trial;
      r = trialResidual;
      accepted = true;
      break;
    }
    if (!accepted) return size <= 100 * options.tolerance ? x : undefined;
    if (x.some((value, j) => Math.abs(value - start[j]!) > options.reach[j]!)) return undefined;
  }
  return largestOf(r) <= options.tolerance ? x : undefined;
}

/**
 * Follows a solution from 0 to 1 of a parameter, predicting by the last chord and halving the step where Newton fails,
 * down to `leastStep`. `solve` returns undefined where it fails. Returns the last solution and how far it came.
 */
export function continuation(
  solve: (parameter: number, guess: readonly number[]) => number[] | undefined,
  start: readonly number[],
  firstStep: number,
  leastStep = 1 / 1000,
): { reached: number; solution: number[] } {
  let reached = 0;
  let solution = [...start];
  let before: { parameter: number; solution: number[] } | undefined;
  let step = firstStep;
  while (reached < 1 && step >= leastStep) {
    const next = Math.min(reached + step, 1);
    const slope = before ? (next - reached) / (reached - before.parameter) : 0;
    const guess = before ? solution.map((v, i) => v + slope * (v - before!.solution[i]!)) : solution;
    const found = solve(next, guess);
    if (found) {
      before = { parameter: reached, solution };
      solution = found;
      reached = next;
      step *= 2;
    } else {
      step /= 2;
    }
  }
  return { reached, solution };
}
