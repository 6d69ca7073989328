import { ringOf } from '../../plan/plan.ts';
import { useState } from 'react';
import type { KeptCheck } from '../../store/build.ts';
import type { ReportItem } from '../../verdict/report.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { HandDialog } from './hand_dialog.tsx';
import { countPoints, handPoints, withHandPoints } from '../edits/hand_places.ts';
import { handPhotos } from './hand_start.ts';
import { handWords } from '../words/hand_words.ts';

/** The way to point an item out by hand, and what has been pointed out for it so far; for the last check only. */
export function HandWay({ item, check }: { item: ReportItem; check: KeptCheck }) {
  const { state, actions } = useApp();
  const { history, checks } = useBuild();
  const [open, setOpen] = useState(false);
  const { plan, shoot } = history.present;
  const position = plan.positions.find(({ id }) => id === item.id);
  const choices = handPhotos(item, check, shoot.photos);
  const possible =
    check === checks[0] &&
    check.report.stage === shoot.stage &&
    position !== undefined &&
    (shoot.stage === 'marks' || ringOf(position.guide) !== undefined) &&
    choices.some(({ size }) => size !== undefined);
  if (!possible) return item.byHand ? <p className="hint">{handWords.measured}</p> : null;

  const points = handPoints(shoot, item.id);
  const asChecked = handPoints(check.shoot, item.id);
  const waiting = JSON.stringify(points) !== JSON.stringify(asChecked);
  const count = countPoints(points);
  return (
    <div className="hand-way">
      <p className="hint">
        {waiting
          ? count > 0
            ? handWords.waiting(count, Object.keys(points).length)
            : handWords.takenBack
          : item.byHand
            ? handWords.measured
            : handWords.openHelp}
      </p>
      <div className="ways">
        {waiting && (
          <button
            type="button"
            className="primary"
            disabled={state.run?.kind === 'running'}
            onClick={() => void actions.runCheck()}
          >
            {handWords.checkAgain}
          </button>
        )}
        <button type="button" onClick={() => setOpen(true)}>
          {count > 0 ? handWords.change : handWords.open}
        </button>
        {count > 0 && (
          <button
            type="button"
            onClick={() =>
              actions.edit(handWords.changes.takeBack(item.id), (document) => withHandPoints(document, item.id, {}))
            }
          >
            {handWords.takeBack}
          </button>
        )}
      </div>
      {open && (
        <HandDialog
          id={item.id}
          stage={shoot.stage}
          {...(plan.markedBy ? { markedBy: plan.markedBy } : {})}
          choices={choices}
          before={points}
          onSave={(next) => {
            actions.edit(handWords.changes.point(item.id), (document) => withHandPoints(document, item.id, next));
            void actions.flush();
          }}
          onClose={() => setOpen(false)}
        />
      )}
    </div>
  );
}
