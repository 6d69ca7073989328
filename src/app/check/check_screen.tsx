import { type RefObject, useEffect, useRef, useState } from 'react';
import type { KeptCheck } from '../../store/build.ts';
import { isCurrent } from '../../store/is_current.ts';
import { pieceCount } from '../../store/plan_in_hand.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { BlankAnswer } from './blank_answer.tsx';
import { BlankView } from './blank_view.tsx';
import { AfterCheck } from './after_check.tsx';
import { CentresView } from './centres_view.tsx';
import { CheckComparison } from './check_comparison.tsx';
import { CheckHistory } from './check_history.tsx';
import { CheckRunView } from './check_run_view.tsx';
import { HowSure } from './how_sure.tsx';
import { ItemRows } from './item_rows.tsx';
import { OnMat } from '../coverage/on_mat.tsx';
import { PhotoNotes } from './photo_notes.tsx';
import { SightingView } from './sighting_view.tsx';
import { canCheck } from '../session/step_needs.ts';
import { TipTopView } from './tip_top_view.tsx';
import { VerdictView } from './verdict_view.tsx';
import { WhatMoves } from './what_moves.tsx';
import { checkWords } from '../words/check_words.ts';

/** The check step: run it; then is it ready, what must move, how sure is it, and the proof. */
export function CheckScreen() {
  const { state, actions } = useApp();
  const { kept, history, checks } = useBuild();
  const [shownId, show] = useState<string>();
  const run = state.run?.buildId === kept.id ? state.run : undefined;
  const running = run?.kind === 'running';
  const answered = running ? run.answer : undefined;
  const check = answered ?? checks.find(({ id }) => id === shownId) ?? checks[0];
  const stale = check !== undefined && !isCurrent(check, history.present);
  const answer = useSightOf(running, answered !== undefined);
  const runAgain = () => {
    show(undefined);
    void actions.runCheck();
  };
  return (
    <>
      {(!check || stale) && <OnMat />}
      {run && <CheckRunView run={run} />}
      {!running && (!check || stale) && (
        <div className="ways">
          <button type="button" className="primary" disabled={!canCheck(history.present)} onClick={runAgain}>
            {check ? checkWords.runAgain : checkWords.run}
          </button>
          {stale && <p className="hint">{checkWords.stale}</p>}
        </div>
      )}
      {check && (
        <div className="answer-and-proof">
          <div ref={answer} className="answer" tabIndex={-1}>
            <Answer check={check} stale={stale} onAgain={running || stale ? undefined : runAgain} />
          </div>
          {!answered && <Proof check={check} />}
        </div>
      )}
      {checks.length > 1 && check && !answered && (
        <CheckHistory checks={checks} shown={check} onShow={(id) => show(id === checks[0]?.id ? undefined : id)} />
      )}
    </>
  );
}

/**
 * The element that takes the focus when a run has ended, and on a phone comes into sight as soon as it has an answer.
 */
function useSightOf(running: boolean, answered: boolean): RefObject<HTMLDivElement | null> {
  const answer = useRef<HTMLDivElement>(null);
  const ran = useRef(running);
  const waited = useRef(running);
  const waiting = running && !answered;
  useEffect(() => {
    // the button that had the focus is gone: it goes on at what came in its place
    if (ran.current && !running && document.activeElement === document.body)
      answer.current?.focus({ preventScroll: true });
    ran.current = running;
  }, [running]);
  useEffect(() => {
    // on a phone it waits below the rod: verdict and what must move come up together
    if (waited.current && !waiting && matchMedia('(max-width: 40rem)').matches)
      answer.current?.scrollIntoView({ block: 'start' });
    waited.current = waiting;
  }, [waiting]);
  return answer;
}

/** Whether it is ready, and what that rests on: of the rod, or of a bare blank. */
function Answer({ check, stale, onAgain }: { check: KeptCheck; stale: boolean; onAgain: (() => void) | undefined }) {
  const { history, checks } = useBuild();
  const ofPieces = pieceCount(history.present.plan) > 1 && !check.report.blank;
  return (
    <>
      <VerdictView report={check.report} stale={stale} ofPieces={ofPieces} />
      {check.report.blank ? (
        <BlankAnswer check={check} onAgain={onAgain} />
      ) : (
        <RodAnswer check={check} before={checks[checks.indexOf(check) + 1]} onAgain={onAgain} />
      )}
    </>
  );
}

/** What must move, the way on, how sure it is, and what became of what was off before. */
function RodAnswer({
  check,
  before,
  onAgain,
}: {
  check: KeptCheck;
  before: KeptCheck | undefined;
  onAgain: (() => void) | undefined;
}) {
  return (
    <>
      <WhatMoves check={check} />
      {onAgain && <AfterCheck check={check} onAgain={onAgain} />}
      <HowSure check={check} />
      {before?.report.stage === check.report.stage && before.shoot.piece === check.shoot.piece && (
        <CheckComparison before={before} after={check} />
      )}
    </>
  );
}

/** The pictures that prove it, and what each photo gave. */
function Proof({ check }: { check: KeptCheck }) {
  const { lengths } = useBuild().history.present;
  const { blank } = check.report;
  return (
    <div className="proof">
      {blank ? <BlankView blank={blank} display={lengths} /> : <ItemRows check={check} />}
      <TipTopView check={check} />
      {check.evidence.rings.length > 0 && (
        <>
          <SightingView check={check} />
          <CentresView check={check} />
        </>
      )}
      <PhotoNotes check={check} />
    </div>
  );
}
