import { guidesAreOn, type RollReference, type Stage } from '../../plan/shoot.ts';
import type { BuildDocument } from '../../store/build.ts';
import { withWritten } from './plan_edits.ts';

/** What roll was counted from before the bare blank was shot, kept beside the plan. */
const rollBefore = 'shoot.rollBefore';
const references: readonly RollReference[] = ['seat-card', 'spine-line', 'guides'];

/**
 * The shoot in hand of another stage. A bare blank knows no roll: what it was counted from is kept aside and comes back
 * with the guides. How far the blank is turned belongs to the blank alone, an earlier report of marks to guides.
 */
export function atStage(document: BuildDocument, stage: Stage): BuildDocument {
  const { shoot } = document;
  if (stage === shoot.stage) return document;
  const { turn: _, earlierMarks, rollAngle, rollReference, ...rest } = shoot;
  const marks = guidesAreOn(stage) && earlierMarks !== undefined ? { earlierMarks } : {};
  if (stage === 'blank') {
    const next = { ...document, shoot: { ...rest, stage, rollReference: 'guides' as const, turn: 0 } };
    return withWritten(next, rollBefore, {
      text: rollReference,
      ...(rollAngle !== undefined && { value: rollAngle }),
    });
  }
  if (shoot.stage !== 'blank') {
    const roll = { rollReference, ...(rollAngle !== undefined && { rollAngle }) };
    return { ...document, shoot: { ...rest, ...roll, ...marks, stage } };
  }
  const before = document.written?.[rollBefore];
  const reference = references.find((name) => name === before?.text) ?? 'seat-card';
  const roll = { rollReference: reference, ...(before?.value !== undefined && { rollAngle: before.value }) };
  return withWritten({ ...document, shoot: { ...rest, ...roll, ...marks, stage } }, rollBefore, undefined);
}
