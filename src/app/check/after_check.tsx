import type { KeptCheck } from '../../store/build.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { goTo } from '../route/use_place.ts';
import { checkWords } from '../words/check_words.ts';

/** The way on from an answer: new photos after moving something, more photos, or the record. */
export function AfterCheck({ check, onAgain }: { check: KeptCheck; onAgain: () => void }) {
  const { actions } = useApp();
  const { kept } = useBuild();
  const { verdict } = check.report;
  const onward = (step: 'photos' | 'record') => goTo({ screen: 'build', id: kept.id, step });
  const newRound = () => {
    actions.newRound();
    onward('photos');
  };
  return (
    <div className="ways">
      {verdict === 'ready' && (
        <button type="button" className="primary" onClick={() => onward('record')}>
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
