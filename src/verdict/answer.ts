import type { Stage } from '../plan/shoot.ts';
import type { Report, ReportItem } from './report.ts';
import { isUnsettled } from './rod_verdict.ts';
import { isMostlyUnclear, sightingOf } from './sighting.ts';
import { isTipTopSettled, isTipTopWrong } from './tip_top.ts';
import { capitalized, countText, listText, lowerFirst } from './wording.ts';

const ready: Record<Stage, string> = {
  blank: 'The blank is measured.',
  marks: 'Every mark is in place.',
  rings: 'Ready to wrap.',
  wrapped: 'Ready for the epoxy.',
};

/** The first thing to say about a check: one to a few short sentences. */
export function answerOf(report: Report): string {
  if (report.verdict === 'ready') return ready[report.stage];
  const marks = report.stage === 'marks';
  const thing = marks ? 'mark' : 'guide';
  if (isMostlyUnclear(report.items))
    return `I cannot make out most of the ${thing}s: shoot again, in softer light, before you move anything.`;
  if (report.verdict === 'reshoot') return reshootAnswer(report);
  const items = (holds: (item: ReportItem) => boolean) => report.items.filter(holds);
  const different = items((i) => i.guideVerdict === 'different');
  const off = items((i) => i.alongVerdict === 'off' || (i.rollVerdict === 'off' && i.turnedByJoint === undefined));
  const joints = (report.joints ?? []).filter(({ rollVerdict }) => rollVerdict === 'off');
  const moved = off.filter((i) => i.alongVerdict === 'off');
  const reversed = items((i) => i.setWrongWay === true);
  const unclear = items((i) => sightingOf(i) === 'not-made-out');
  const missing = items((i) => i.alongVerdict === 'missing');
  const sentences: string[] = [];
  if (different.length > 0) {
    const swaps = different.every((i) => i.advice?.startsWith('Swap '));
    sentences.push(`${swaps ? 'Swap' : 'Change'} ${countText(different.length, thing)}.`);
  }
  if (off.length > 0) sentences.push(`${moved.length > 0 ? 'Move' : 'Turn'} ${countText(off.length, thing)}.`);
  if (joints.length > 0)
    sentences.push(
      `Turn ${listText(joints.map(({ joint }) => `piece ${joint}`))} in ${joints.length === 1 ? 'its joint' : 'their joints'}.`,
    );
  if (reversed.length > 0) sentences.push(`Turn ${countText(reversed.length, thing)} round.`);
  if (missing.length > 0)
    sentences.push(`${capitalized(countText(missing.length, thing))} ${missing.length === 1 ? 'is' : 'are'} missing.`);
  if (report.extras.length > 0)
    sentences.push(`${marks ? 'Wipe off' : 'Take off'} ${countText(report.extras.length, `extra ${thing}`)}.`);
  if (isTipTopWrong(report.tipTop) && report.tipTop?.turnedByJoint === undefined)
    sentences.push(report.tipTop!.sighting === 'not-there' ? 'The tip-top is not on.' : 'Turn the tip-top.');
  if (unclear.length > 0) sentences.push(`I cannot make out ${listText(unclear.map((i) => i.id))}.`);
  return report.stage === 'wrapped' ? `Before the epoxy: ${lowerFirst(sentences.join(' '))}` : sentences.join(' ');
}

function reshootAnswer(report: Report): string {
  if (report.stage === 'blank') return 'Shoot again: the blank is not measured well enough yet.';
  if (report.items.length === 0) return 'Nothing to check: the plan has no places for this shoot.';
  const unsettled = report.items.filter(isUnsettled);
  const open = [...(isTipTopSettled(report.tipTop) ? [] : ['the tip-top']), ...unsettled.map((i) => i.id)];
  if (open.length === 0)
    return 'Shoot again: nothing is known to be wrong, but the check cannot vouch for the rod yet.';
  if (open.length >= report.items.length && open.length > 2)
    return report.items.every((i) => i.alongVerdict === 'on')
      ? 'Shoot again: every guide is in place, but none is settled in roll and size yet.'
      : `Shoot again: no ${report.stage === 'marks' ? 'mark' : 'guide'} is settled yet.`;
  if (unsettled.every((i) => i.coveredIn) && isTipTopSettled(report.tipTop))
    return `Something lies over ${listText(open)}: take it away, and one more photo there.`;
  if (unsettled.every((i) => sightingOf(i) === 'not-made-out') && isTipTopSettled(report.tipTop))
    return `I cannot make out ${listText(open)}: point ${open.length === 1 ? 'it' : 'them'} out, or one closer photo.`;
  return `Shoot again: ${listText(open)} ${open.length === 1 ? 'is' : 'are'} not settled.`;
}
