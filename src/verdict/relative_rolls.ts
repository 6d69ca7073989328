import { guidesAreOn, type Shoot } from '../plan/shoot.ts';
import { commonRoll, wrapDegrees } from './common_roll.ts';
import type { Estimate, MeasuredPlace } from './measured_shoot.ts';
import type { Measured, ReportItem } from './report.ts';

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
): Estimate | undefined {
  if (!guidesAreOn(shoot.stage)) return undefined;
  if (shoot.rollReference === 'guides')
    return commonRoll(
      places.flatMap(({ roll, planned }) => (roll ? [{ value: roll.value - planned, u: roll.u }] : [])),
    );
  return { value: shoot.rollReference === 'spine-line' ? (shoot.rollAngle ?? 0) : 0, u: 0 };
}

/** A roll counted from the reference. */
export const fromReference = (roll: Estimate, zero: Estimate): Estimate => ({
  value: wrapDegrees(roll.value - zero.value),
  u: Math.hypot(roll.u, zero.u),
});

/** The places with their rolls counted from the reference, and without any where there is none. */
export const rollsFromReference = (places: readonly MeasuredPlace[], zero: Estimate | undefined): MeasuredPlace[] =>
  places.map(({ roll, ...place }) => (roll && zero ? { ...place, roll: fromReference(roll, zero) } : place));

/** How far a guide is turned against its planned roll, degrees, clockwise as seen from the butt. */
export function turnedBy({ roll, plannedRoll = 0 }: Pick<ReportItem, 'roll' | 'plannedRoll'>): Measured | undefined {
  return roll && { ...roll, value: wrapDegrees(roll.value - plannedRoll) };
}
