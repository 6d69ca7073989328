import { type BendCase, type Load, traceBend } from './bent_rod.ts';
import { angleTolerance, type Bend, describeBend, pack, solveHeadings } from './elastica.ts';
import { InputError } from './input_error.ts';
import { type GuideSide, lineRun } from './line_run.ts';
import { continuation, newton } from './newton.ts';
import { gapsOf, highestDifference, smoothestMember } from './smooth_gaps.ts';
import type { Stiffness } from './stiffness.ts';

/** Guides to be placed where the loaded rod needs them; mm from the tip, newtons, degrees. */
export interface BendLayoutCase {
  stiffness: Stiffness;
  clampAt: number;
  load: Load;
  side: GuideSide;
  /** from the blank's surface to the line in each guide, tip to butt, mm */
  lineHeights: readonly number[];
  /** the same in the tip-top */
  tipHeight: number;
  /** where the line leaves the reel: place along the rod, and distance from the blank's axis on the guides' side, mm */
  reel: { at: number; height: number };
  /** held where given, otherwise found */
  first?: number;
  last?: number;
  /** shares of the line's turning, one for each guide from tip to butt; equal when absent */
  shares?: readonly number[];
}

export interface BendLayout {
  /** positions of the guides from tip to butt, mm */
  at: number[];
  bend: Bend;
  /** which guides, from 0, were moved until their turns stood in their shares */
  shared: number[];
  /** true when those turns stand in the ratio asked for */
  reached: boolean;
  /** plain sentences on what could not be had and what was done instead */
  notes: string[];
}

/** Nodes on the way to the answer; the answer itself is solved on `nodes`. */
const coarseNodes = 60;
const leastGap = 5;
/** Where the last guide starts from when it is free, as a share of the free length. */
const usualLast = 0.85;

/**
 * Places guides so that the line turns by the same angle, or in chosen shares, at every guide that may be moved; a guide
 * held in place takes what is left. That leaves one freedom: a turn belongs to the two gaps beside it, so gaps may grow and
 * shrink in turn at no change of the angles. It goes to the smoothest gaps: each as
 * near as it can be to the geometric mean of its neighbours, by least squares.
 * All is solved together with the bend itself: unknowns are the headings and the free positions; equations those of the
 * bend, turn_a share_b = turn_b share_a for neighbours, and the
 * highest difference of the gaps as the parameter of the family. Shares are followed from those of an even
 * layout, which solves them exactly, to those asked for.
 * Throws InputError where no bend can be followed or the input contradicts itself.
 */
export function layOutByBend(layout: BendLayoutCase, nodes = 200): BendLayout {
  refuseContradictions(layout);
  return place(layout, nodes);
}

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
    if (n === 1) return first ?? last ?? end;
    const t = k / (n - 1);
    return start + (end - start) * (0.6 * t + 0.4 * t * t);
  });
}

/** What the equations aim at on the way from the even layout to the one asked for. */
interface Aim {
  shares: readonly number[];
  unevenness: number;
}

function notReached(at: readonly number[], { last, clampAt }: BendLayoutCase): string {
  if (last === undefined && at.at(-1)! > 0.9 * clampAt) {
    return 'For the shares asked for the last guide would have to stand behind the place where the rod is held: this is as near as it comes; give the last position, or take more guides.';
  }
  return 'The line cannot be made to turn in the shares asked for at this load: this is as near as it comes; give the first and last position, or change load or guides.';
}

function place(layout: BendLayoutCase, nodes: number): BendLayout {
  const { first, last, lineHeights, clampAt } = layout;
  const n = lineHeights.length;
  const start = evenStart(n, clampAt, first, last);
  const free = start.flatMap((_, k) => {
    const held = (k === 0 && first !== undefined) || (k === n - 1 && last !== undefined);
    return held ? [] : [k];
  });
  const asked = layout.shares ?? lineHeights.map(() => 1);

  const positionsOf = (x: readonly number[]) => {
    const at = [...start];
    free.forEach((k, i) => {
      at[k] = x[n + 2 + i]!;
    });
    return at;
  };
  const caseAt = (at: readonly number[]): BendCase => ({
    stiffness: layout.stiffness,
    clampAt,
    load: layout.load,
    line: lineRun(layout, at),
  });
  const turnsOf = (x: readonly number[]) => x.slice(2, n + 2).map((heading, k) => heading - x[k + 1]!);

  const residual = (x: readonly number[], { shares, unevenness }: Aim, steps: number): number[] => {
    const at = positionsOf(x);
    const { mismatch } = traceBend(caseAt(at), { tipHeading: x[0]!, lineHeadings: x.slice(1, n + 2) }, steps, false);
    const turns = turnsOf(x);
    const balance = free.slice(1).map((b, i) => turns[free[i]!]! * shares[b]! - turns[b]! * shares[free[i]!]!);
    const even = free.length === 0 ? [] : [highestDifference(gapsOf(at, clampAt)) / clampAt - unevenness];
    return [...mismatch, ...balance, ...even];
  };
  const allowed = (x: readonly number[]) => {
    const at = [0, ...positionsOf(x), clampAt];
    return at.slice(1).every((s, k) => s - at[k]! >= (k === n ? 0 : leastGap) && Number.isFinite(s));
  };
  const solve = (guess: readonly number[], aim: Aim, steps: number) =>
    newton((x) => residual(x, aim, steps), guess, {
      steps: guess.map((_, i) => (i < n + 2 ? 1e-7 : 1e-4)),
      reach: guess.map((_, i) => (i < n + 2 ? 0.5 : 0.15 * clampAt)),
      tolerance: angleTolerance,
      allowed,
    });

  /** Over the one freedom left, the layouts that all turn the line as asked. */
  const smoothest = (from: readonly number[]) => {
    let solution = [...from];
    const aim = (unevenness: number): Aim => ({ ...aimAt(1), unevenness });
    const member = (unevenness: number) => solve(solution, aim(unevenness), coarseNodes);
    const best = smoothestMember(
      (unevenness) => {
        const found = member(unevenness);
        if (found) solution = found;
        return found && gapsOf(positionsOf(found), clampAt);
      },
      0,
      1e-6,
    );
    return { aim: aim(best), solution: member(best) ?? solution };
  };

  const headings = solveHeadings(caseAt(start), coarseNodes);
  const begin = [...pack(headings[0]!, headings.slice(1)), ...free.map((k) => start[k]!)];
  const turnsNow = turnsOf(begin);
  const sum = (values: readonly number[]) => free.reduce((total, k) => total + values[k]!, 0);
  const scale = sum(turnsNow) / sum(asked);
  const unevenNow = highestDifference(gapsOf(start, clampAt)) / clampAt;
  const aimAt = (parameter: number): Aim => ({
    shares: turnsNow.map((turn, k) => (1 - parameter) * turn + parameter * scale * asked[k]!),
    unevenness: (1 - parameter) * unevenNow,
  });
  const { reached, solution } = continuation((k, guess) => solve(guess, aimAt(k), coarseNodes), begin, 0.25);
  const found = reached === 1 && free.length > 1 ? smoothest(solution) : { aim: aimAt(reached), solution };
  const fine = solve(found.solution, found.aim, nodes);
  if (!fine) throw new InputError('The bend could not be solved to its full accuracy; try a lighter load.');
  const at = positionsOf(fine);
  const notes = reached === 1 ? [] : [notReached(at, layout)];
  return {
    at,
    bend: describeBend(caseAt(at), fine.slice(0, n + 2), nodes),
    shared: free,
    reached: reached === 1,
    notes,
  };
}
