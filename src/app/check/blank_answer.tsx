import type { KeptCheck } from '../../store/build.ts';
import { blankSentences } from '../../verdict/blank_table.ts';
import { pieceCount } from '../../store/plan_in_hand.ts';
import { useBuild } from '../session/app_context.tsx';
import { pieceWords } from '../words/piece_words.ts';
import { AfterBlank } from './after_blank.tsx';
import { FillPlan } from './fill_plan.tsx';
import { HowSure } from './how_sure.tsx';
import { StraightestView } from './straightest_view.tsx';
import { WhatMoves } from './what_moves.tsx';

/**
 * The measured blank in words, each number with its doubt; what the plan may take over of it, the way on, and what
 * several turns say together.
 */
export function BlankAnswer({ check, onAgain }: { check: KeptCheck; onAgain: (() => void) | undefined }) {
  const { lengths, plan } = useBuild().history.present;
  const { blank } = check.report;
  const { piece } = check.shoot;
  return (
    <>
      {piece !== undefined && <p>{pieceWords.piece(piece, pieceCount(plan))}</p>}
      {blank && blankSentences(blank, lengths).map((sentence) => <p key={sentence}>{sentence}</p>)}
      <WhatMoves check={check} />
      <FillPlan key={check.id} check={check} />
      <StraightestView check={check} />
      {onAgain && <AfterBlank check={check} onAgain={onAgain} />}
      <HowSure check={check} />
    </>
  );
}
