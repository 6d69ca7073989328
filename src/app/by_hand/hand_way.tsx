import type { KeptCheck } from '../../store/build.ts';
import type { ReportItem } from '../../verdict/report.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { HandButton, useCanPointOut } from './point_out.tsx';
import { countPoints, handPoints, withHandPoints } from '../edits/hand_places.ts';
import { handWords } from '../words/hand_words.ts';

/** The way to point an item out by hand, and what has been pointed out for it so far; for the last check only. */
export function HandWay({ item, check }: { item: ReportItem; check: KeptCheck }) {
  const { state, actions } = useApp();
  const { shoot } = useBuild().history.present;
  const can = useCanPointOut();
  if (!can(item, check)) return item.byHand ? <p className="hint">{handWords.measured}</p> : null;

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
        <HandButton item={item} check={check}>
          {count > 0 ? handWords.change : handWords.open}
        </HandButton>
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
    </div>
  );
}
