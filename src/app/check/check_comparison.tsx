import type { KeptCheck } from '../../store/build.ts';
import { compareChecks, comparisonSentences, type ItemState } from '../../verdict/compare_reports.ts';
import type { ReportItem } from '../../verdict/report.ts';
import { differenceText } from '../../verdict/wording.ts';
import { useBuild } from '../session/app_context.tsx';
import { signInShort, signsOf, signInWords } from '../kit/item_sign.ts';
import { SignIcon } from '../kit/sign_shape.tsx';
import { comparisonWords } from '../words/check_words.ts';

/** This check beside the one before it, item by item: what changed and what is still off. */
export function CheckComparison({ before, after }: { before: KeptCheck; after: KeptCheck }) {
  const { lengths } = useBuild().history.present;
  const find = (check: KeptCheck, id: string) => check.report.items.find((item) => item.id === id);
  const cell = (item: ReportItem | undefined, state: ItemState | undefined) => {
    const sign = item && signsOf(item)[0];
    if (!sign || !state) return comparisonWords.notAsked;
    return (
      <>
        <SignIcon sign={sign} /> <span aria-hidden="true">{signInShort(sign, lengths)}</span>
        <span className="spoken">{signInWords(sign, lengths)}</span>
      </>
    );
  };
  return (
    <section aria-label={comparisonWords.title}>
      <h2>{comparisonWords.title}</h2>
      <ul className="notes">
        {comparisonSentences(before.report, after.report, lengths).map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
      <table className="comparison">
        <thead>
          <tr>
            <th scope="col">{comparisonWords.place}</th>
            <th scope="col">{comparisonWords.before}</th>
            <th scope="col">{comparisonWords.after}</th>
            <th scope="col">{comparisonWords.moved}</th>
          </tr>
        </thead>
        <tbody>
          {compareChecks(before.report, after.report).map((change) => (
            <tr key={change.id}>
              <th scope="row">{change.id}</th>
              <td>{cell(find(before, change.id), change.before)}</td>
              <td>{cell(find(after, change.id), change.after)}</td>
              <td>
                {change.changed && change.moved
                  ? comparisonWords.by(differenceText(change.moved.value, lengths), change.moved.value > 0)
                  : comparisonWords.same}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
