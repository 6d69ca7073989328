import type { Estimate } from '../numerics/estimate.ts';
import type { TipTop, Tolerance } from '../plan/plan.ts';
import type { RollReference } from '../plan/shoot.ts';
import { wrapDegrees } from './common_roll.ts';
import { decide } from './decision.ts';
import { expanded } from './expanded.ts';
import type { MeasuredTipTop } from './measured_shoot.ts';
import { fromReference } from './relative_rolls.ts';
import type { ReportTipTop } from './report.ts';
import { degreesText, turnOf } from './wording.ts';

/** What the roll is said against. */
const against: Record<RollReference, string> = {
  'seat-card': 'against the reel seat',
  'spine-line': 'against the spine line',
  guides: 'against the guides',
};

/** The tip-top's roll held against the plan; what the photos say of it, and what to do. */
export function judgeTipTop(
  planned: TipTop,
  tolerance: Tolerance,
  measured: MeasuredTipTop | undefined,
  reference: RollReference,
  zero: Estimate | undefined,
): ReportTipTop {
  const sighting = measured?.sighting ?? 'in-no-photo';
  if (sighting === 'not-there')
    return {
      sighting,
      rollVerdict: 'unsure',
      advice: 'The tip-top is not on the rod: glue it on, or take it out of the plan.',
    };
  if (sighting !== 'found' || !measured?.roll)
    return { sighting, rollVerdict: 'unsure', advice: 'One more photo, close over the tip-top, to tell its roll.' };
  if (!zero)
    return { sighting, rollVerdict: 'unsure', advice: 'The roll of the tip-top has nothing to be counted from.' };
  const roll = expanded(fromReference(measured.roll, zero));
  const turned = wrapDegrees(roll.value - (planned.roll ?? 0));
  const rollVerdict = decide(turned, roll.expanded, tolerance.roll);
  const says =
    rollVerdict === 'off'
      ? `The tip-top is turned ${degreesText(turned)} ${turnOf(turned)} seen from the butt, ${against[reference]}. Warm its glue and turn it back.`
      : rollVerdict === 'unsure'
        ? 'One more photo, close over the tip-top, tilted toward you.'
        : undefined;
  return { sighting, roll, rollVerdict, ...(says && { advice: says }) };
}

/** Something about the tip-top is known to be wrong. */
export const isTipTopWrong = (tipTop: ReportTipTop | undefined): boolean =>
  tipTop !== undefined && (tipTop.sighting === 'not-there' || tipTop.rollVerdict === 'off');

/** Nothing about the tip-top is left open; true where the plan has none. */
export const isTipTopSettled = (tipTop: ReportTipTop | undefined): boolean =>
  tipTop === undefined || (tipTop.sighting === 'found' && tipTop.rollVerdict === 'on');
