import { type ReactNode, useState } from 'react';
import { ringOf } from '../../plan/plan.ts';
import type { KeptCheck } from '../../store/build.ts';
import { pieceInHand } from '../../store/plan_in_hand.ts';
import type { ReportItem } from '../../verdict/report.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { handPoints, withHandPoints } from '../edits/hand_places.ts';
import { HandDialog } from './hand_dialog.tsx';
import { handPhotos } from './hand_start.ts';
import { handWords } from '../words/hand_words.ts';

/** Whether an item can be pointed out: in the last check alone, a mark or a ring, in a photo that check has read. */
export function useCanPointOut(): (item: ReportItem, check: KeptCheck) => boolean {
  const { history, checks } = useBuild();
  const { plan, shoot } = history.present;
  return (item, check) => {
    const position = plan.positions.find(({ id }) => id === item.id);
    return (
      check === checks[0] &&
      check.report.stage === shoot.stage &&
      check.shoot.piece === pieceInHand(history.present) &&
      position !== undefined &&
      (shoot.stage === 'marks' || ringOf(position.guide) !== undefined) &&
      handPhotos(item, check, shoot.photos).some(({ size }) => size !== undefined)
    );
  };
}

/**
 * The way to point out what was not made out, to stand beside that sentence; nothing where it can't be or was done
 * already.
 */
export function PointOut({ item, check }: { item: ReportItem; check: KeptCheck }) {
  const { shoot } = useBuild().history.present;
  const can = useCanPointOut();
  if (!can(item, check)) return null;
  const done = Object.keys(handPoints(shoot, item.id)).length > 0;
  return (
    <HandButton item={item} check={check}>
      {done ? handWords.changeOf(item.id) : handWords.title(item.id)}
    </HandButton>
  );
}

/** A button that opens the photos to point an item out in. */
export function HandButton({ item, check, children }: { item: ReportItem; check: KeptCheck; children: ReactNode }) {
  const { actions } = useApp();
  const { plan, shoot } = useBuild().history.present;
  const [open, setOpen] = useState(false);
  return (
    <>
      <button type="button" onClick={() => setOpen(true)}>
        {children}
      </button>
      {open && (
        <HandDialog
          id={item.id}
          stage={shoot.stage}
          {...(plan.markedBy ? { markedBy: plan.markedBy } : {})}
          choices={handPhotos(item, check, shoot.photos)}
          before={handPoints(shoot, item.id)}
          onSave={(next) => {
            actions.edit(handWords.changes.point(item.id), (document) => withHandPoints(document, item.id, next));
            void actions.flush();
          }}
          onClose={() => setOpen(false)}
        />
      )}
    </>
  );
}
