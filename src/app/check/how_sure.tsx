import type { KeptCheck } from '../../store/build.ts';
import { doubtDigits } from '../../verdict/wording.ts';
import { useBuild } from '../session/app_context.tsx';
import { surenessParts, surenessSentences } from './sureness.ts';
import { sureWords } from '../words/check_words.ts';

/** How sure the check is, and where its doubt comes from. */
export function HowSure({ check }: { check: KeptCheck }) {
  const { lengths } = useBuild().history.present;
  const sentences = surenessSentences(check.report, check.plan, lengths);
  const parts = surenessParts(check.report);
  const most = parts[0]?.expanded ?? 1;
  return (
    <section aria-label={sureWords.title}>
      <h2>{sureWords.title}</h2>
      {sentences.map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      {parts.length > 0 && (
        <details>
          <summary>{sureWords.from}</summary>
          <ul className="parts">
            {parts.map(({ part, expanded }) => (
              <li key={part}>
                <span>{sureWords.parts[part]}</span>
                <span className="part-amount">
                  {sureWords.upTo(`${doubtDigits(expanded, lengths)} ${lengths === 'mm' ? 'mm' : 'in'}`)}
                </span>
                <span className="part-bar" style={{ width: `${(100 * expanded) / most}%` }} />
              </li>
            ))}
          </ul>
          <p className="hint">{sureWords.inSquares}</p>
        </details>
      )}
    </section>
  );
}
