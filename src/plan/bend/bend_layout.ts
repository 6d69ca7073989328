import type { BendLayoutCase } from './bend_layout_case.ts';
import { type BendSystem, bendSystem, leastGap } from './bend_system.ts';
import { angleTolerance, type Bend, describeBend, solveHeadings } from './elastica.ts';
import { InputError } from '../input_error.ts';
import { nearestTurns } from './nearest_turns.ts';
import { continuation, newton } from '../../numerics/newton.ts';
import { leastShrink, withGrowingGaps } from './growing_gaps.ts';
import { gapsOf, highestDifference, runsSmoothly, smoothestMember } from './smooth_gaps.ts';

export interface BendLayout {
  /** positions of the guides from tip to butt, mm */
  at: number[];
  bend: Bend;
  /** which guides, from 0, were moved to bring their turns to their shares */
  shared: number[];
  /**
   * true when those turns stand in the ratio asked for; false when they only come near it, for the sake of smooth gaps
   */
  reached: boolean;
  /** plain sentences on what could not be had and what was done instead */
  notes: string[];
}

/** Nodes on the way to the answer; the answer itself is solved on `nodes`. */
const coarseNodes = 60;
/** What a departure from geometric growth weighs against a turn's departure from its share, both as parts of one. */
const smoothing = 0.2;
/** Where the last guide starts from when it is free, as a share of the free length. */
const usualLast = 0.85;

/**
 * Places guides so that the line turns by the same angle, or in chosen shares, at every guide that may be moved; a
 * guide held in place takes what is left. That leaves one freedom: a turn belongs to the two gaps beside it, so gaps
 * may grow and shrink in turn at no change of the angles. It goes to the smoothest gaps, each as near as it can be to
 * the geometric mean of its neighbours.
 *
 * First a layout with turns near the shares and smooth gaps is sought by least squares. From it Newton's method goes to
 * the exact shares together with the bend itself: unknowns are the headings and the free positions; equations those of
 * the bend, turn_a share_b = turn_b share_a for neighbours, and the highest difference of the gaps as the freedom's
 * parameter. Where that layout would have guides out of order or uneven gaps, the first one is given and said to be so.
 * Gaps that would shrink toward the butt are kept from it unless they are allowed to.
 * Throws InputError where no bend can be followed or the input contradicts itself.
 */
export function layOutByBend(layout: BendLayoutCase, nodes = 200): BendLayout {
  refuseContradictions(layout);
  const laid = place(layout, nodes);
  return layout.gaps === 'free' ? laid : withoutShrinking(laid, layout, nodes);
}

/** The same layout with no gap shorter than the one nearer the tip, bent anew where that moved a guide. */
function withoutShrinking(laid: BendLayout, layout: BendLayoutCase, nodes: number): BendLayout {
  const at = withGrowingGaps(laid.at, layout.first !== undefined);
  if (at.every((place, k) => place === laid.at[k])) return laid;
  const { caseAt } = bendSystem(layout, at);
  const bend = describeBend(caseAt(at), solveHeadings(caseAt(at), nodes), nodes);
  const turns = laid.shared.map((k) => bend.turns[k + 1]!);
  return {
    at,
    bend,
    shared: laid.shared,
    reached: false,
    notes: [
      `For turns in their shares some gaps would shrink toward the butt; they were kept from it, so the line turns by ${rangeOf(turns)} at the guides that were moved. Allow gaps that shrink if you want the shares.`,
      ...(at.length > 1 && at[1]! - at[0]! < at[0]! - leastShrink
        ? ['The first gap is longer than the room leaves for the others; take fewer guides or a shorter first gap.']
        : []),
    ],
  };
}

const rangeOf = (turns: readonly number[]): string =>
  `${Math.min(...turns).toFixed(1)} to ${Math.max(...turns).toFixed(1)} degrees`;

function refuseContradictions({ lineHeights, clampAt, first, last, shares, reel }: BendLayoutCase): void {
  if (lineHeights.length === 0) throw new InputError('There is no guide to place; give at least one.');
  if (shares && (shares.length !== lineHeights.length || !shares.every((share) => share > 0))) {
    throw new InputError(`The shares of turning must be ${lineHeights.length} numbers above 0, one for each guide.`);
  }
  if (lineHeights.length === 1 && first !== undefined && last !== undefined && first !== last) {
    throw new InputError('The only guide cannot be both first and last at different places; give one of the two.');
  }
  if (!((first ?? leastGap) > 0) || !((last ?? clampAt) <= clampAt) || !((first ?? 0) < clampAt)) {
    throw new InputError('The first and last guide must lie between the tip and the place where the rod is held.');
  }
  const room = (last ?? clampAt) - (first ?? 0);
  if (room < leastGap * (lineHeights.length - (first === undefined ? 0 : 1))) {
    throw new InputError(
      `The room between the first and last place is too short for ${lineHeights.length} guides; move one of them.`,
    );
  }
  if (!(reel.at >= clampAt))
    throw new InputError('The reel must sit behind the place where the rod is held; move one of them.');
}

/** Gaps that grow evenly from tip to butt: what a builder would start from. */
function evenStart(n: number, clampAt: number, first?: number, last?: number): number[] {
  const end = last ?? (n === 1 && first !== undefined ? first : usualLast * clampAt);
  const start = Math.min(first ?? Math.max((0.5 * end) / n, leastGap), end);
  return Array.from({ length: n }, (_, k) => {
    if (n === 1) return first ?? last ?? clampAt / 2;
    const t = k / (n - 1);
    return start + (end - start) * (0.6 * t + 0.4 * t * t);
  });
}

function notReached(at: readonly number[], turns: readonly number[], { last, clampAt }: BendLayoutCase): string {
  const cure =
    last === undefined && at.at(-1)! > 0.85 * clampAt
      ? 'The last guide presses toward the place where the rod is held: give the last position, or take more guides.'
      : 'For turns nearer their shares change the first or last position, the load, the rings or their number.';
  return `Turns in just the shares asked for would make the gaps grow and shrink in turn, or put guides out of order, so the gaps were kept smooth and the line turns by ${rangeOf(turns)} at the guides that were moved. ${cure}`;
}

/** What the equations aim at on the way from nearly the shares asked for to just those. */
interface Aim {
  shares: readonly number[];
  unevenness: number;
}

function place(layout: BendLayoutCase, nodes: number): BendLayout {
  const { first, last, clampAt } = layout;
  const n = layout.lineHeights.length;
  const start = evenStart(n, clampAt, first, last);
  const system = bendSystem(layout, start);
  const { free, positionsOf, caseAt, turnsOf } = system;
  const asked = layout.shares ?? layout.lineHeights.map(() => 1);
  const begin = [...solveHeadings(caseAt(start), coarseNodes), ...free.map((k) => start[k]!)];
  const found = free.length > 0 ? sharedTurns(system, begin, asked, clampAt, nodes) : undefined;
  const solution = found?.solution ?? system.settle(begin, nodes);
  if (!solution) throw new InputError('The bend could not be solved to its full accuracy; try a lighter load.');
  const at = positionsOf(solution);
  const reached = found?.reached ?? true;
  const turns = turnsOf(solution).map((turn) => (turn * 180) / Math.PI);
  return {
    at,
    bend: describeBend(caseAt(at), solution.slice(0, n + 2), nodes),
    shared: [...free],
    reached,
    notes: reached
      ? []
      : [
          notReached(
            at,
            free.map((k) => turns[k]!),
            layout,
          ),
        ],
  };
}

/** The layout that has the shares exactly and is smoothest, or the one that comes nearest with smooth gaps. */
function sharedTurns(
  system: BendSystem,
  begin: readonly number[],
  asked: readonly number[],
  clampAt: number,
  nodes: number,
): { solution: number[] | undefined; reached: boolean } {
  const { free, positionsOf, turnsOf, allowed, steps, reach } = system;
  const uneven = (x: readonly number[]) => highestDifference(gapsOf(positionsOf(x), clampAt)) / clampAt;
  const near = nearestTurns(system, begin, { shares: asked, smoothing, clampAt }, coarseNodes);

  const residual = (x: readonly number[], { shares, unevenness }: Aim, fineness: number): number[] => {
    const turns = turnsOf(x);
    const balance = free.slice(1).map((b, i) => turns[free[i]!]! * shares[b]! - turns[b]! * shares[free[i]!]!);
    return [...system.mismatch(x, fineness), ...balance, uneven(x) - unevenness];
  };
  const solve = (guess: readonly number[], aim: Aim, fineness: number) =>
    newton((x) => residual(x, aim, fineness), guess, { steps, reach, tolerance: angleTolerance, allowed });

  const turnsNow = turnsOf(near);
  const sum = (values: readonly number[]) => free.reduce((total, k) => total + values[k]!, 0);
  const scale = sum(turnsNow) / sum(asked);
  const unevenNow = uneven(near);
  const aimAt = (parameter: number): Aim => ({
    shares: turnsNow.map((turn, k) => (1 - parameter) * turn + parameter * scale * asked[k]!),
    unevenness: unevenNow,
  });
  const exact = continuation((k, guess) => solve(guess, aimAt(k), coarseNodes), near, 1, 1 / 8);
  if (exact.reached < 1) return { solution: system.settle(near, nodes), reached: false };

  let solution = exact.solution;
  const aim = (unevenness: number): Aim => ({ ...aimAt(1), unevenness });
  const unevenness = smoothestMember(
    (parameter) => {
      const member = solve(solution, aim(parameter), coarseNodes);
      if (member) solution = member;
      return member && gapsOf(positionsOf(member), clampAt);
    },
    unevenNow,
    1e-6,
  );
  const fine = solve(solution, aim(unevenness), nodes);
  const smooth = fine && runsSmoothly(positionsOf(fine), free[0] === 0);
  return { solution: smooth ? fine : system.settle(near, nodes), reached: smooth === true };
}
