import { type Plan, ringOf } from './plan.ts';
import type { Shoot } from './shoot.ts';

/** A shoot with only those places set by hand that the plan has an item for; a renamed item is left to the detector. */
export function plannedByHand<S extends Pick<Shoot, 'byHand' | 'stage'>>(plan: Plan, shoot: S): S {
  if (!shoot.byHand) return shoot;
  const { byHand, ...rest } = shoot;
  const kept = byHand.filter(({ id }) =>
    plan.positions.some((position) => position.id === id && (shoot.stage === 'marks' || ringOf(position.guide))),
  );
  return (kept.length > 0 ? { ...rest, byHand: kept } : rest) as S;
}
