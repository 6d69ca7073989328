import type { Estimate } from '../numerics/estimate.ts';
import { guidesAreOn, type Shoot } from '../plan/shoot.ts';
import { commonRoll, doubtFromCommonRoll, wrapDegrees } from './common_roll.ts';
import type { MeasuredPlace } from './measured_shoot.ts';
import type { Measured, ReportItem } from './report.ts';

/** What rolls are counted from, degrees. */
export interface RollReferenceFound extends Estimate {
  /** by place: how well its roll is known counted from here, where the places' own rolls make the reference */
  apart?: ReadonlyMap<number, number>;
}

/**
 * What rolls are counted from, degrees: nothing where they were measured from the seat card; the stated angle from the
 * spine line; where the guides themselves are the reference, the median of how far each is turned against its planned
 * roll, which takes two guides or more.
 *
 * @param places as found; `planned` is the roll the plan has for the guide there, 0 for one that is none of the plan's
 */
export function rollReferenceOf(
  shoot: Pick<Shoot, 'stage' | 'rollReference' | 'rollAngle'>,
  places: readonly { roll?: Estimate; planned: number }[],
): RollReferenceFound | undefined {
  if (!guidesAreOn(shoot.stage)) return undefined;
  if (shoot.rollReference === 'guides') {
    const told = places.flatMap(({ roll, planned }, i) =>
      roll ? [{ i, value: roll.value - planned, u: roll.u }] : [],
    );
    const line = commonRoll(told);
    if (!line) return undefined;
    const apart = doubtFromCommonRoll(told, line);
    return { ...line, apart: new Map(told.map(({ i }, k) => [i, apart[k]!])) };
  }
  return { value: shoot.rollReference === 'spine-line' ? (shoot.rollAngle ?? 0) : 0, u: 0 };
}

/** A roll that had no part in the reference, counted from it. */
export const fromReference = (roll: Estimate, zero: Estimate): Estimate => ({
  value: wrapDegrees(roll.value - zero.value),
  u: Math.hypot(roll.u, zero.u),
});

/** The places with their rolls counted from the reference, and without any where there is none. */
export const rollsFromReference = (
  places: readonly MeasuredPlace[],
  zero: RollReferenceFound | undefined,
): MeasuredPlace[] =>
  places.map(({ roll, ...place }, i) => {
    if (!roll || !zero) return place;
    const counted = fromReference(roll, zero);
    return { ...place, roll: { ...counted, u: zero.apart?.get(i) ?? counted.u } };
  });

/** How far a guide is turned against its planned roll, degrees, clockwise as seen from the butt. */
export function turnedBy({ roll, plannedRoll = 0 }: Pick<ReportItem, 'roll' | 'plannedRoll'>): Measured | undefined {
  return roll && { ...roll, value: wrapDegrees(roll.value - plannedRoll) };
}
