import type { Stretch } from '../stretch.ts';
import { feetOf, type WrapPractice, wrapsOf } from '../foot.ts';
import type { Plan, Position } from '../plan.ts';

/**
 * Thread laid on the bare blank under a guide before its feet go on: one stretch beneath all its wraps and `underwrap`
 * mm beyond them. Absent where none is planned or the feet are not described.
 */
export function underwrapOf(position: Position, plan: Plan, practice: WrapPractice): Stretch | undefined {
  const wraps = wrapsOf(position, plan, practice);
  if (position.kind !== 'guide' || practice.underwrap === undefined || wraps.length === 0) return undefined;
  return {
    from: Math.min(...wraps.map(({ from }) => from)) - practice.underwrap,
    to: Math.max(...wraps.map(({ to }) => to)) + practice.underwrap,
  };
}

/** A few turns of another colour beyond the outer end of each of a guide's wraps, `trimGap` mm from it. */
export function trimBandsOf(position: Position, plan: Plan, practice: WrapPractice): Stretch[] {
  const { trimBand, trimGap = 0 } = practice;
  if (position.kind !== 'guide' || trimBand === undefined) return [];
  const feet = feetOf(position);
  return wrapsOf(position, plan, practice).map((wrap, k) => {
    const foot = feet[k]!;
    return foot.from + foot.to < 2 * position.at
      ? { from: wrap.from - trimGap - trimBand, to: wrap.from - trimGap }
      : { from: wrap.to + trimGap, to: wrap.to + trimGap + trimBand };
  });
}
