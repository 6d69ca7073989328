import { solveLeastSquares } from '../../numerics/least_squares.ts';
import type { ResidualBlock } from '../../numerics/residual_block.ts';
import { solveLinearSystem } from '../../numerics/linear_system.ts';
import type { BendSystem } from './bend_system.ts';
import { gapsOf, roughness } from './smooth_gaps.ts';

/** A share of every position below which a step no longer matters: about a hundredth of a millimetre. */
const leastStep = 1e-5;
/** mm; the departures are differenced along the solved bends over this */
const difference = 1e-3;

/** The turns that a layout is to have, and what smooth gaps are worth beside them. */
export interface WantedTurns {
  /** each guide's share of the whole turn */
  shares: readonly number[];
  smoothing: number;
  /** mm from the tip to where the blank is clamped */
  clampAt: number;
}

/**
 * Positions whose turns come as near to their shares as smooth gaps let them: least squares over each turn's departure
 * from its share, as a part of it, and `smoothing` times the roughness of the gaps. The bend is solved anew for each
 * trial, its change with a position coming from the bend's own equations (implicit functions). `from` must be a solved
 * bend; returns the unknowns of a solved bend.
 */
export function nearestTurns(
  system: BendSystem,
  from: readonly number[],
  { shares, smoothing, clampAt }: WantedTurns,
  nodes: number,
): number[] {
  const { free, guides } = system;
  const headings = guides + 2;
  const totalShare = free.reduce((sum, k) => sum + shares[k]!, 0);
  const departures = (x: readonly number[]) => {
    const turns = system.turnsOf(x);
    const unit = free.reduce((sum, k) => sum + turns[k]!, 0) / totalShare;
    const rough = roughness(gapsOf(system.positionsOf(x), clampAt));
    return [...free.map((k) => turns[k]! / (shares[k]! * unit) - 1), ...rough.map((value) => smoothing * value)];
  };

  // The bend last differenced, from which the bends beside it are sought, and the one last solved.
  let near = { x: from, changes: changesPerPosition(system, from, nodes) };
  let solved = from;
  const bendFor = (places: readonly number[]): readonly number[] | undefined => {
    if (solved.slice(headings).every((place, i) => place === places[i])) return solved;
    const { x, changes } = near;
    if (!changes) return undefined;
    const guess = x.map((u, i) =>
      i < headings
        ? u + changes.reduce((sum, change, j) => sum + change[i]! * (places[j]! - x[headings + j]!), 0)
        : places[i - headings]!,
    );
    const found = system.allowed(guess) ? system.settle(guess, nodes) : undefined;
    if (found) solved = found;
    return found;
  };
  const block: ResidualBlock = {
    parameters: free.map((_, i) => i),
    size: departures(from).length,
    evaluate(values, residuals, jacobian) {
      const x = bendFor([...values]);
      if (!x) {
        residuals.fill(Number.NaN);
        return;
      }
      const value = departures(x);
      residuals.set(value);
      if (!jacobian) return;
      near = { x, changes: changesPerPosition(system, x, nodes) };
      for (const [j, change] of (near.changes ?? []).entries()) {
        const moved = departures(x.map((u, i) => u + difference * change[i]!));
        for (const [i, v] of moved.entries()) jacobian[i * free.length + j] = (v - value[i]!) / difference;
      }
    },
  };
  solveLeastSquares([block], Float64Array.from(from.slice(headings)), { maximumIterations: 40, leastStep });
  return [...near.x];
}

/**
 * For each free position the change of all unknowns with it, the bend staying solved; undefined where it is singular.
 */
function changesPerPosition(system: BendSystem, at: readonly number[], nodes: number): number[][] | undefined {
  const headings = system.guides + 2;
  const here = system.mismatch(at, nodes);
  const byUnknown = at.map((u, j) => {
    const beside = system.mismatch(at.with(j, u + system.steps[j]!), nodes);
    return beside.map((v, i) => (v - here[i]!) / system.steps[j]!);
  });
  const matrix = here.map((_, i) => Array.from({ length: headings }, (__, j) => byUnknown[j]![i]!));
  const found = system.free.map((_, k) => {
    const change = solveLinearSystem(
      matrix,
      byUnknown[headings + k]!.map((v) => -v),
    );
    return change && [...change, ...system.free.map((__, i) => (i === k ? 1 : 0))];
  });
  return found.every((change) => change !== undefined) ? found : undefined;
}
