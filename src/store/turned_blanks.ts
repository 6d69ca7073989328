import type { ReportBlank } from '../verdict/report.ts';
import type { KeptCheck } from './build.ts';

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
