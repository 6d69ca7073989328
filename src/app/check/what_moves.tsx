import type { KeptCheck } from '../../store/build.ts';
import { isUnsettled, isWrong } from '../../verdict/rod_verdict.ts';
import { adviceForExtra } from '../../verdict/advice.ts';
import { isTipTopSettled, isTipTopWrong } from '../../verdict/tip_top.ts';
import { type SharedAdvice, sharedAdvice } from '../../verdict/shared_advice.ts';
import { sightingOf } from '../../verdict/sighting.ts';
import { displayOf } from '../../verdict/wording.ts';
import { useBuild } from '../session/app_context.tsx';
import { PointOut } from '../by_hand/point_out.tsx';
import { type ItemSign, signsOf, signInWords } from '../kit/item_sign.ts';
import { hashOf } from '../route/place.ts';
import { SignIcon } from '../kit/sign_shape.tsx';
import { answerWords } from '../words/check_words.ts';

/** What must move, in the order of the rod; then what is not settled and what would settle it. */
export function WhatMoves({ check }: { check: KeptCheck }) {
  const { lengths } = useBuild().history.present;
  const { items, extras, notes, tipTop } = check.report;
  const wrong = items.filter(isWrong);
  const unsettled = items.filter(isUnsettled);
  const tipTopAdvice = tipTop?.advice === undefined ? [] : [tipTop.advice];
  const tipTopOpen = !isTipTopWrong(tipTop) && !isTipTopSettled(tipTop);
  return (
    <>
      {(wrong.length > 0 || extras.length > 0 || isTipTopWrong(tipTop)) && (
        <MoveList
          title={answerWords.whatMoves}
          // the report's advice stands in the plan's unit; in another one the signs say the same
          moves={lengths === displayOf(check.plan) ? sharedAdvice(wrong) : wrong.map((item) => ({ items: [item] }))}
          check={check}
          others={[
            ...extras.map((extra) => extra.advice ?? adviceForExtra(extra, lengths)),
            ...(isTipTopWrong(tipTop) ? tipTopAdvice : []),
          ]}
          otherSign={{ kind: 'extra' }}
        />
      )}
      {(unsettled.length > 0 || tipTopOpen) && (
        <MoveList
          title={answerWords.whatSettles}
          moves={sharedAdvice(unsettled)}
          check={check}
          others={tipTopOpen ? tipTopAdvice : []}
          otherSign={{ kind: 'unsure' }}
        />
      )}
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

function MoveList({
  title,
  moves,
  check,
  others,
  otherSign,
}: {
  title: string;
  moves: readonly SharedAdvice[];
  check: KeptCheck;
  /** sentences about what is no place of the plan */
  others: readonly string[];
  otherSign: ItemSign;
}) {
  return (
    <section aria-label={title}>
      <h2>{title}</h2>
      <ul className="moves">
        {moves.map((move) => (
          <Move key={move.items[0]!.id} move={move} check={check} />
        ))}
        {others.map((sentence) => (
          <li key={sentence}>
            <p className="move-extra">
              <SignIcon sign={otherSign} />
              <span>{sentence}</span>
            </p>
          </li>
        ))}
      </ul>
    </section>
  );
}

/** One thing to do; where something was not made out, the way to point it out stands beside it. */
function Move({ move: { items, sentence }, check }: { move: SharedAdvice; check: KeptCheck }) {
  const { kept, history } = useBuild();
  const { lengths } = history.present;
  const first = items[0]!;
  const signs = signsOf(first);
  const unclear = items.filter((item) => sightingOf(item) === 'not-made-out' && !item.coveredIn);
  return (
    <li className="move">
      <a href={hashOf({ screen: 'build', id: kept.id, step: 'check', item: first.id })}>
        <SignIcon sign={signs[0] ?? { kind: 'unsure' }} />
        <span>
          {sentence ??
            answerWords.todo(
              first.id,
              signs.map((sign) => signInWords(sign, lengths)),
            )}
          {[...new Set(items.map(({ cause }) => cause))].map(
            (cause) =>
              cause && (
                <span key={cause} className="cause">
                  {cause}
                </span>
              ),
          )}
        </span>
      </a>
      {unclear.length > 0 && (
        <div className="move-points">
          {unclear.map((item) => (
            <PointOut key={item.id} item={item} check={check} />
          ))}
        </div>
      )}
    </li>
  );
}
