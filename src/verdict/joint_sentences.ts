import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import type { Plan } from '../plan/plan.ts';
import type { ReportJoint } from './report.ts';
import { degreesText, differenceText, plannedText, rollText, turnOf } from './wording.ts';

/**
 * What to do at a joint, or that nothing is: one sentence on its roll and one where it stands open otherwise than
 * planned.
 */
export function jointSentences(joint: ReportJoint, tolerance: Plan['tolerance'], display: LengthDisplay): string[] {
  const where = `At the joint (${plannedText(joint.at, display)})`;
  return [...rollSentence(joint, where), ...openSentence(joint, where, tolerance, display)];
}

function rollSentence({ roll, rollVerdict, rings, joint }: ReportJoint, where: string): string[] {
  if (rollVerdict === undefined) return [];
  if (!roll) {
    const bare = rings?.[0] === 0 ? joint : joint + 1;
    return [`${where} the roll of the pieces against each other is not told: no ring was found on piece ${bare}.`];
  }
  const measured = `piece ${joint} is turned ${rollText(roll)}, against piece ${joint + 1}, seen from the butt`;
  if (rollVerdict === 'off')
    return [
      `${where} ${measured}: turn piece ${joint} in its joint by ${degreesText(roll.value)} ${turnOf(-roll.value)}.`,
    ];
  if (rollVerdict === 'on') return [`${where} the pieces are in line: ${measured}.`];
  const [near, far] = rings ?? [0, 0];
  const by = far === 0 ? `${near} rings and the card in the reel seat` : `${near} and ${far} rings`;
  return [`${where} ${measured}, told by ${by}: not settled.`];
}

function openSentence(
  { open, joint }: ReportJoint,
  where: string,
  tolerance: Plan['tolerance'],
  display: LengthDisplay,
): string[] {
  if (!open || Math.abs(open.value) - open.expanded <= tolerance.along / 2) return [];
  const doubt = differenceText(open.expanded, display);
  const by = differenceText(open.value, display);
  return open.value > 0
    ? [
        `${where} the pieces stand ${by} further apart than planned, give or take ${doubt}: push the joint home, or correct its gap in the plan.`,
      ]
    : [
        `${where} piece ${joint} reaches ${by} further onto the other than planned, give or take ${doubt}: correct the joint in the plan.`,
      ];
}
