import { answerOf } from '../../verdict/answer.ts';
import type { Report } from '../../verdict/report.ts';
import { pieceWords } from '../words/piece_words.ts';
import { answerWords } from '../words/check_words.ts';

/**
 * Is it ready: the answer in words, by shape and weight first; an answer about another state says so before all else.
 */
export function VerdictView({ report, stale, ofPieces }: { report: Report; stale: boolean; ofPieces: boolean }) {
  const { piece } = report;
  const [first, ...more] = answerOf(report).split(/(?<=\.) /);
  return (
    <section
      className={stale ? 'verdict verdict-stale' : `verdict verdict-${report.verdict}`}
      aria-label={answerWords.label}
      role="status"
    >
      {stale && <p>{answerWords.stale}</p>}
      {ofPieces && (
        <p className="verdict-of">{piece ? pieceWords.piece(piece.number, piece.of) : pieceWords.recordTogether}</p>
      )}
      <h2 className="verdict-words">{first}</h2>
      {more.map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
    </section>
  );
}
