import type { KeptCheck } from '../../store/build.ts';
import { quarterTurns, turnedBlanks } from '../../store/turned_blanks.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { goTo } from '../route/use_place.ts';
import { blankWords } from '../words/blank_words.ts';
import { checkWords } from '../words/check_words.ts';

/** The way on from a measured blank: the next quarter turn, more photos, or the record. */
export function AfterBlank({ check, onAgain }: { check: KeptCheck; onAgain: () => void }) {
  const { actions } = useApp();
  const { kept, checks } = useBuild();
  const { verdict, blank } = check.report;
  const onward = (step: 'photos' | 'record') => goTo({ screen: 'build', id: kept.id, step });
  const done = new Set(turnedBlanks(checks, check.shoot.piece).map(({ turn }) => turn));
  const next = blank?.turn === undefined ? undefined : quarterTurns.find((turn) => !done.has(turn));
  return (
    <div className="ways">
      {verdict === 'reshoot' && (
        <button type="button" className="primary" onClick={() => onward('photos')}>
          {checkWords.morePhotos}
        </button>
      )}
      {next !== undefined && verdict === 'ready' && (
        <button
          type="button"
          onClick={() => {
            actions.newTurn(next);
            onward('photos');
          }}
        >
          {blankWords.quarter(next)}
        </button>
      )}
      <button type="button" onClick={() => onward('record')}>
        {blankWords.toRecord}
      </button>
      <button
        type="button"
        onClick={() => {
          actions.newRound();
          onward('photos');
        }}
      >
        {blankWords.newRound}
      </button>
      <button type="button" onClick={onAgain}>
        {checkWords.runAgain}
      </button>
    </div>
  );
}
