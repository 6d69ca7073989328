import { turnOf } from '../../numerics/turn.ts';
import type { LengthDisplay } from '../lengths/length_text.ts';
import { openingOf, planStart, type Plan } from '../plan.ts';
import { blankDiameter } from '../taper.ts';
import { type Finding, lengthWords } from './finding.ts';

/** Places looked at along each piece of line. */
const steps = 100;

/**
 * How near the line comes to the blank's surface between two guides turned against each other, mm; negative inside it.
 */
export interface TurnedPiece {
  ids: [string, string];
  /** degrees from one guide to the other, the shorter way */
  turn: number;
  clearance: number;
  at: number;
}

/**
 * The straight line from guide to guide on the unloaded rod, where neighbours differ in roll: it then cuts across the
 * blank's side. The line lies in each bore's edge nearest the blank, where tension draws it.
 */
export function turnedPieces(plan: Plan): TurnedPiece[] {
  const start = planStart(plan);
  const radius = (at: number) => blankDiameter(plan.blank, at, start) / 2;
  const points = plan.positions.flatMap(({ id, at, guide }) => {
    if (!guide) return [];
    const { height, ringInner } = openingOf(guide);
    const away = radius(at) + height - ringInner / 2;
    const roll = ((guide.roll ?? 0) * Math.PI) / 180;
    return [{ id, at, roll: guide.roll ?? 0, right: away * Math.sin(roll), up: away * Math.cos(roll) }];
  });
  return points.slice(1).flatMap((next, k): TurnedPiece[] => {
    const before = points[k]!;
    const turn = Math.abs(turnOf(next.roll - before.roll));
    if (turn < 0.5) return [];
    const along = Array.from({ length: steps + 1 }, (_, i) => i / steps).map((t) => {
      const at = before.at + t * (next.at - before.at);
      const away = Math.hypot(before.right + t * (next.right - before.right), before.up + t * (next.up - before.up));
      return { at, clearance: away - radius(at) };
    });
    const least = along.reduce((a, b) => (b.clearance < a.clearance ? b : a));
    return [{ ids: [before.id, next.id], turn, ...least }];
  });
}

/** Pieces of line that would run into the blank on their way round it. */
export function turnedLineFindings(plan: Plan, display: LengthDisplay): Finding[] {
  const words = (mm: number) => lengthWords(mm, display);
  return turnedPieces(plan).flatMap(({ ids, turn, clearance, at }): Finding[] => {
    if (clearance > -0.05) return [];
    return [
      {
        rule: 'line-touches',
        weight: 'look',
        items: ids,
        by: -clearance,
        text: `From ${ids[0]} to ${ids[1]} the line turns ${turn.toFixed(0)} degrees round the blank and would run into it by ${words(-clearance)}, ${words(at)} from the tip.`,
        cure: 'Let the guides walk round in smaller steps, bring the two closer, or take higher rings.',
      },
    ];
  });
}
