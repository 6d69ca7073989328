import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import type { KeptCheck } from '../../store/build.ts';
import { isUnsettled, isWrong } from '../../verdict/rod_verdict.ts';
import { adviceForExtra } from '../../verdict/advice.ts';
import { isTipTopSettled, isTipTopWrong } from '../../verdict/tip_top.ts';
import type { ReportItem } from '../../verdict/report.ts';
import { displayOf } from '../../verdict/wording.ts';
import { useBuild } from '../session/app_context.tsx';
import { signsOf, signInWords } from '../kit/item_sign.ts';
import { hashOf } from '../route/place.ts';
import { SignIcon } from '../kit/sign_shape.tsx';
import { answerWords } from '../words/check_words.ts';

/** What must move, in the order of the rod; then what is not settled and which photo would settle it. */
export function WhatMoves({ check }: { check: KeptCheck }) {
  const { kept, history } = useBuild();
  const { lengths } = history.present;
  const { items, extras, notes, tipTop } = check.report;
  const wrong = items.filter(isWrong);
  // One photo may settle several places: said once, at the first of them.
  const unsettled = items
    .filter(isUnsettled)
    .filter((item, i, all) => item.advice === undefined || all.findIndex((o) => o.advice === item.advice) === i);
  const tipTopAdvice = tipTop?.advice === undefined ? [] : [tipTop.advice];
  const tipTopOpen = !isTipTopWrong(tipTop) && !isTipTopSettled(tipTop);
  /** the report's advice stands in the plan's unit; in another one the signs say the same */
  const adviceIn = (display: LengthDisplay, item: ReportItem) =>
    item.advice !== undefined && (display === displayOf(check.plan) || !isWrong(item))
      ? item.advice
      : answerWords.todo(
          item.id,
          signsOf(item).map((sign) => signInWords(sign, display)),
        );
  const list = (title: string, some: typeof items, last: string[] = [], lastSign: 'extra' | 'unsure' = 'extra') => (
    <section aria-label={title}>
      <h2>{title}</h2>
      <ul className="moves">
        {some.map((item) => (
          <li key={item.id}>
            <a href={hashOf({ screen: 'build', id: kept.id, step: 'check', item: item.id })}>
              <SignIcon sign={signsOf(item)[0] ?? { kind: 'unsure' }} />
              <span>
                {adviceIn(lengths, item)}
                {item.cause && <span className="cause">{item.cause}</span>}
              </span>
            </a>
          </li>
        ))}
        {last.map((sentence) => (
          <li key={sentence}>
            <p className="move-extra">
              <SignIcon sign={{ kind: lastSign }} />
              <span>{sentence}</span>
            </p>
          </li>
        ))}
      </ul>
    </section>
  );
  return (
    <>
      {(wrong.length > 0 || extras.length > 0 || isTipTopWrong(tipTop)) &&
        list(answerWords.whatMoves, wrong, [
          ...extras.map((extra) => extra.advice ?? adviceForExtra(extra, lengths)),
          ...(isTipTopWrong(tipTop) ? tipTopAdvice : []),
        ])}
      {(unsettled.length > 0 || tipTopOpen) &&
        list(answerWords.whatSettles, unsettled, tipTopOpen ? tipTopAdvice : [], 'unsure')}
      {notes.length > 0 && (
        <ul className="notes">
          {notes.map((note) => (
            <li key={note}>{note}</li>
          ))}
        </ul>
      )}
    </>
  );
}
