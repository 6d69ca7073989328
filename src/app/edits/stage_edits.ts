import { guidesAreOn, type RollReference, type Stage } from '../../plan/shoot.ts';
import type { BuildDocument } from '../../store/build.ts';
import { shootOfPiece } from './piece_edits.ts';
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
  const { earlierMarks: _, ...withoutMarks } = shoot;
  const kept = guidesAreOn(stage) ? shoot : withoutMarks;
  if (stage === 'blank') {
    const { rollAngle, ...rest } = kept;
    const next = { ...document, shoot: { ...rest, stage, rollReference: 'guides' as const, turn: 0 } };
    return withWritten(next, rollBefore, {
      text: shoot.rollReference,
      ...(rollAngle !== undefined && { value: rollAngle }),
    });
  }
  if (shoot.stage !== 'blank') return { ...document, shoot: { ...kept, stage } };
  const { turn: __, ...rest } = kept;
  const before = document.written?.[rollBefore];
  const rollReference = references.find((name) => name === before?.text) ?? 'seat-card';
  const next = { ...rest, stage, rollReference, ...(before?.value !== undefined && { rollAngle: before.value }) };
  // another piece may lie there since, without the reel seat
  const shown = shootOfPiece(document.plan, next, next.piece);
  return withWritten({ ...document, shoot: shown }, rollBefore, undefined);
}
