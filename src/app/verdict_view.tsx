import { answerOf } from '../verdict/answer.ts';
import type { Report } from '../verdict/report.ts';
import { words } from './words.ts';

/** Is it ready: the answer in words, by shape and weight first. */
export function VerdictView({ report }: { report: Report }) {
  const [first, ...more] = answerOf(report).split(/(?<=\.) /);
  return (
    <section className={`verdict verdict-${report.verdict}`} aria-label={words.answers.label} role="status">
      <h2 className="verdict-words">{first}</h2>
      {more.map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
    </section>
  );
}
