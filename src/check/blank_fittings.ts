import type { OutlineStep } from '../vision/outline_steps.ts';

/** What sits on a blank, as its outline tells: mm from the tip, and by how much thicker than the blank it is. */
export interface BlankFitting {
  kind: 'ferrule' | 'winding-check' | 'at-grip' | 'not-made-out';
  from: number;
  to: number;
  thicker: number;
}

/** What a step in the outline is taken for, by its length and evenness (common practice, no source). */
const taken = {
  /** mm long: a ferrule or sleeve lies over a joint */
  shortest: 15,
  longest: 130,
  /** a sleeve may taper: its diameter's spread beside its step, and mm at least */
  uneven: { ofStep: 0.25, least: 0.15 },
  /** mm within which a step belongs to the grip that was found: its front is rounded */
  sameGrip: 20,
} as const;

/**
 * What the steps in a blank's outline are. The grip itself is left out. A collar that stands less than the grip and
 * against it is a winding check or trim where its colour is another than the grip's, and the grip's own front where it
 * is the same: `likeness` tells; where it does not, the collar is told and not named. What is no ferrule either is told
 * like that too. `grip` = where the grip begins, mm, where one does.
 */
export function blankFittings(
  steps: readonly OutlineStep[],
  grip: number | undefined,
  likeness: (collar: OutlineStep, follows: OutlineStep) => 'same' | 'other' | undefined,
): BlankFitting[] {
  const isAtGrip = ({ from }: OutlineStep) => grip !== undefined && Math.abs(from - grip) < taken.sameGrip;
  const [collar, follows] = steps.filter(isAtGrip);
  const told = ({ from, to, thicker }: OutlineStep, kind: BlankFitting['kind']) => ({ kind, from, to, thicker });
  const like = collar && follows && likeness(collar, follows);
  return [
    ...steps.filter((step) => !isAtGrip(step)).map((step) => told(step, isFerrule(step) ? 'ferrule' : 'not-made-out')),
    ...(collar && follows && like !== 'same' ? [told(collar, like === 'other' ? 'winding-check' : 'at-grip')] : []),
  ];
}

function isFerrule({ from, to, thicker, uneven }: OutlineStep): boolean {
  const even = uneven < Math.max(taken.uneven.least, taken.uneven.ofStep * thicker);
  return even && to - from >= taken.shortest && to - from <= taken.longest;
}
