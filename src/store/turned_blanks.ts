import { InputError } from '../plan/input_error.ts';
import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import type { ReportBlank } from '../verdict/report.ts';
import { straightestAxis } from '../verdict/straightest_axis.ts';
import { straightestRows, straightestSentences } from '../verdict/straightest_text.ts';
import type { KeptCheck } from './build.ts';

/** The turns that tell a blank's straightest axis, degrees. */
export const quarterTurns: readonly number[] = [0, 90, 180, 270];

/** A blank measured at one turn about its axis, degrees from 0 up to 360. */
export interface TurnedBlank {
  turn: number;
  blank: ReportBlank;
}

/**
 * Of a build's checks of one bare blank (the same piece of the rod) the last at each turn, the least turn first. A
 * check that does not say how far the blank was turned tells nothing of it.
 *
 * @param checks the last one first
 */
export function turnedBlanks(checks: readonly KeptCheck[], piece: number | undefined): TurnedBlank[] {
  const byTurn = new Map<number, ReportBlank>();
  for (const { report, shoot } of checks) {
    const { blank } = report;
    if (!blank || blank.turn === undefined || !blank.bowExpanded || shoot.piece !== piece) continue;
    const turn = ((blank.turn % 360) + 360) % 360;
    if (!byTurn.has(turn)) byTurn.set(turn, { ...blank, turn });
  }
  return [...byTurn].map(([turn, blank]) => ({ turn, blank })).toSorted((a, b) => a.turn - b.turn);
}

/** Whether the blank was measured at four turns or more, a quarter apart. */
export const isTurnedAllRound = (turned: readonly TurnedBlank[]): boolean => turned.length >= quarterTurns.length;

/** What the shoots of a blank say together, in sentences and line by line round it; or why they cannot. */
export function straightestOf(
  turned: readonly TurnedBlank[],
  display: LengthDisplay,
): { sentences: string[]; rows: string[][] } {
  try {
    const axis = straightestAxis(turned.map(({ blank }) => blank));
    return { sentences: straightestSentences(axis, display), rows: straightestRows(axis, display) };
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return { sentences: [error.message], rows: [] };
  }
}
