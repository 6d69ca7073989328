import type { BendSystem } from './bend_system.ts';
import { solveLinearSystem } from '../../numerics/linear_system.ts';
import { gapsOf, roughness } from './smooth_gaps.ts';

const squares = (values: readonly number[]) => values.reduce((sum, value) => sum + value * value, 0);

/**
 * Positions whose turns come as near to their shares as smooth gaps let them: least squares over each turn's departure from
 * its share, as a part of it, and `smoothing` times the roughness of the gaps. Levenberg-Marquardt over the free positions;
 * the bend is solved anew for each, its change with a position coming from the bend's own equations (implicit functions).
 * `from` must be a solved bend; returns the unknowns of a solved bend.
 */
export function nearestTurns(
  system: BendSystem,
  from: readonly number[],
  shares: readonly number[],
  smoothing: number,
  clampAt: number,
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

  let x = [...from];
  let value = departures(x);
  let damping = 1e-2;
  for (let iteration = 0; iteration < 40; iteration++) {
    const changes = unknownsPerPosition(system, x, nodes);
    if (!changes) return x;
    const columns = changes.map((change) => {
      const moved = departures(x.map((u, i) => u + 1e-3 * change[i]!));
      return moved.map((v, i) => (v - value[i]!) / 1e-3);
    });
    const gradient = columns.map((column) => column.reduce((sum, v, i) => sum + v * value[i]!, 0));
    const normal = columns.map((a) => columns.map((b) => a.reduce((sum, v, i) => sum + v * b[i]!, 0)));
    let moved = false;
    while (!moved && damping < 1e6) {
      const step = solveLinearSystem(
        normal.map((row, i) => row.map((v, j) => (i === j ? v * (1 + damping) + 1e-14 : v))),
        gradient,
      );
      if (!step) return x;
      const guess = x.map((u, i) => u - changes.reduce((sum, change, j) => sum + change[i]! * step[j]!, 0));
      const trial = system.allowed(guess) ? system.settle(guess, nodes) : undefined;
      const trialValue = trial && departures(trial);
      if (trial && trialValue && squares(trialValue) < squares(value)) {
        const gain = squares(value) - squares(trialValue);
        x = trial;
        value = trialValue;
        damping = Math.max(damping / 5, 1e-9);
        moved = true;
        if (gain < 1e-7 * squares(value) || Math.max(...step.map(Math.abs)) < 1e-3) return x;
      } else {
        damping *= 5;
      }
    }
    if (!moved) return x;
  }
  return x;

  /** For each free position the change of all unknowns with it, the bend staying solved. */
  function unknownsPerPosition(of: BendSystem, at: readonly number[], steps: number): number[][] | undefined {
    const here = of.mismatch(at, steps);
    const byUnknown = at.map((u, j) => {
      const beside = of.mismatch(at.with(j, u + of.steps[j]!), steps);
      return beside.map((v, i) => (v - here[i]!) / of.steps[j]!);
    });
    const matrix = here.map((_, i) => Array.from({ length: headings }, (__, j) => byUnknown[j]![i]!));
    const found = free.map((_, k) => {
      const change = solveLinearSystem(
        matrix,
        byUnknown[headings + k]!.map((v) => -v),
      );
      return change && [...change, ...free.map((__, i) => (i === k ? 1 : 0))];
    });
    return found.every((change) => change !== undefined) ? (found as number[][]) : undefined;
  }
}
