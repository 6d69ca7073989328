import { type BendCase, traceBend } from './bent_rod.ts';
import type { BendLayoutCase } from './bend_layout_case.ts';
import { angleTolerance } from './elastica.ts';
import { lineRun } from './line_run.ts';
import { newton } from '../../numerics/newton.ts';

/** Guides never come closer than this, mm. */
export const leastGap = 5;

/**
 * A bend whose guides may move, as one list of unknowns: heading at the tip, heading of each straight piece of line
 * (radians, outward), then the free positions (mm from the tip).
 */
export interface BendSystem {
  guides: number;
  /** which guides, from 0, may move */
  free: readonly number[];
  positionsOf: (x: readonly number[]) => number[];
  caseAt: (at: readonly number[]) => BendCase;
  /** turn of the line at each guide, radians */
  turnsOf: (x: readonly number[]) => number[];
  /** the bend's own equations, zero when it is solved */
  mismatch: (x: readonly number[], nodes: number) => number[];
  /** guides in order, apart, and before the clamp */
  allowed: (x: readonly number[]) => boolean;
  /** solves the bend for the positions in `x`, from its headings */
  settle: (x: readonly number[], nodes: number) => number[] | undefined;
  /** difference steps and limits for Newton's method */
  steps: readonly number[];
  reach: readonly number[];
}

export function bendSystem(layout: BendLayoutCase, start: readonly number[]): BendSystem {
  const { first, last, clampAt } = layout;
  const n = start.length;
  const headings = n + 2;
  const free = start.flatMap((_, k) => {
    const held = (k === 0 && first !== undefined) || (k === n - 1 && last !== undefined);
    return held ? [] : [k];
  });
  const positionsOf = (x: readonly number[]) => {
    const at = [...start];
    free.forEach((k, i) => {
      at[k] = x[headings + i]!;
    });
    return at;
  };
  const caseAt = (at: readonly number[]): BendCase => ({
    stiffness: layout.stiffness,
    clampAt,
    load: layout.load,
    line: lineRun(layout, at),
  });
  const mismatch = (x: readonly number[], nodes: number) =>
    traceBend(caseAt(positionsOf(x)), { tipHeading: x[0]!, lineHeadings: x.slice(1, headings) }, nodes, false).mismatch;
  const unknowns = headings + free.length;
  const steps = Array.from({ length: unknowns }, (_, i) => (i < headings ? 1e-7 : 1e-4));
  const reach = Array.from({ length: unknowns }, (_, i) => (i < headings ? 0.5 : 0.15 * clampAt));
  return {
    guides: n,
    free,
    positionsOf,
    caseAt,
    turnsOf: (x) => x.slice(2, headings).map((heading, k) => heading - x[k + 1]!),
    mismatch,
    allowed: (x) => {
      const at = [0, ...positionsOf(x), clampAt];
      return at.slice(1).every((s, k) => s - at[k]! >= (k === n ? 0 : leastGap) && Number.isFinite(s));
    },
    settle: (x, nodes) => {
      const places = x.slice(headings);
      const found = newton((h) => mismatch([...h, ...places], nodes), x.slice(0, headings), {
        steps: steps.slice(0, headings),
        reach: reach.slice(0, headings),
        tolerance: angleTolerance,
        allowed: () => true,
      });
      return found && [...found, ...places];
    },
    steps,
    reach,
  };
}
