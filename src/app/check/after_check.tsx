import type { KeptCheck } from '../../store/build.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { checkedParts, isPartReady } from '../../store/rod_checks.ts';
import { pieceWords } from '../words/piece_words.ts';
import { goTo } from '../route/use_place.ts';
import { checkWords } from '../words/check_words.ts';

/** The way on from an answer: new photos after moving something, more photos, or the record. */
export function AfterCheck({ check, onAgain }: { check: KeptCheck; onAgain: () => void }) {
  const { actions } = useApp();
  const { kept, history, checks } = useBuild();
  const { verdict } = check.report;
  const onward = (step: 'photos' | 'record') => goTo({ screen: 'build', id: kept.id, step });
  const newRound = () => {
    actions.newRound();
    onward('photos');
  };
  // the piece that is next, once this one is done
  const parts = verdict === 'ready' ? checkedParts(history.present, checks) : [];
  const next = parts.find((part) => part.guides && !isPartReady(part));
  const newPart = (piece: number | undefined) => {
    actions.newRoundOf(piece);
    onward('photos');
  };
  return (
    <div className="ways">
      {next && (
        <button type="button" className="primary" onClick={() => newPart(next.piece)}>
          {pieceWords.shoot(next.piece)}
        </button>
      )}
      {verdict === 'ready' && (
        <button type="button" className={next ? '' : 'primary'} onClick={() => onward('record')}>
          {checkWords.toRecord}
        </button>
      )}
      {verdict === 'reshoot' && (
        <button type="button" className="primary" onClick={() => onward('photos')}>
          {checkWords.morePhotos}
        </button>
      )}
      <button type="button" className={verdict === 'fix' ? 'primary' : ''} onClick={newRound}>
        {checkWords.newRound}
      </button>
      <button type="button" onClick={onAgain}>
        {checkWords.runAgain}
      </button>
    </div>
  );
}
