import type { Estimate } from '../numerics/estimate.ts';
import { seatCardRoll } from '../adjust/seat_card.ts';
import { guidesAreOn, type Shoot } from '../plan/shoot.ts';
import { drawnLine } from './drawn_line.ts';
import type { Measuring } from './measuring.ts';

/** What roll is counted from, bench zero; undefined when the reference was not seen or is the rings themselves. */
export interface RollZero {
  reference: Shoot['rollReference'];
  roll?: Estimate;
  notes: string[];
}

/** The roll reference the builder chose, measured. */
export function rollZero(shoot: Shoot, measuring: Measuring): RollZero {
  if (guidesAreOn(shoot.stage) && shoot.rollReference === 'seat-card') return cardZero(measuring);
  if (guidesAreOn(shoot.stage) && shoot.rollReference === 'spine-line') return spineZero(measuring);
  return { reference: shoot.rollReference, notes: [] };
}

function cardZero({ mat, blank, doubt }: Measuring): RollZero {
  const reference = 'seat-card';
  const card = seatCardRoll(mat, blank, blank.axis, doubt);
  if (!card)
    return {
      reference,
      notes: [
        'The seat card was not seen, so roll could not be judged: one more photo over the reel seat, with both squares of the card in view.',
      ],
    };
  const apart = Math.abs(card.byTilt.value - card.byPlace.value);
  if (apart <= 3 * Math.hypot(card.byTilt.u, card.byPlace.u)) return { reference, roll: card.roll, notes: [] };
  return {
    reference,
    roll: { value: card.roll.value, u: Math.max(card.roll.u, apart / 2) },
    notes: [
      `The seat card leans ${apart.toFixed(1)} degrees against its own place over the rod: seat it like a reel's foot and shoot again.`,
    ],
  };
}

function spineZero(measuring: Measuring): RollZero {
  const reference = 'spine-line';
  const line = drawnLine(measuring);
  if (line) return { reference, roll: line.roll, notes: [] };
  return {
    reference,
    notes: [
      'The spine line was not found, so roll could not be judged: draw it 30 mm or longer where the photos see it, and shoot again.',
    ],
  };
}
