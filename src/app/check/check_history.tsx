import type { KeptCheck } from '../../store/build.ts';
import { answerOf } from '../../verdict/answer.ts';
import { blankWords } from '../words/blank_words.ts';
import { pieceWords } from '../words/piece_words.ts';
import { historyWords } from '../words/check_words.ts';

const when = new Intl.DateTimeFormat(undefined, { dateStyle: 'medium', timeStyle: 'short' });

/** The build's checks, the last one first; any can be looked at again. */
export function CheckHistory({
  checks,
  shown,
  onShow,
}: {
  checks: readonly KeptCheck[];
  shown: KeptCheck;
  onShow: (id: string) => void;
}) {
  return (
    <section aria-label={historyWords.title}>
      <h2>{historyWords.title}</h2>
      <ol className="rows">
        {checks.map((check) => (
          <li key={check.id} className="row">
            <button type="button" aria-pressed={check === shown} onClick={() => onShow(check.id)}>
              {when.format(new Date(check.at))}
            </button>
            <span>
              {check.report.piece && `${pieceWords.piece(check.report.piece.number, check.report.piece.of)}: `}
              {answerOf(check.report)}
              {check.report.blank?.turn !== undefined && ` ${blankWords.turned(check.report.blank.turn)}.`}
            </span>
          </li>
        ))}
      </ol>
    </section>
  );
}
