import { pieceCount, pieceInHand } from '../../store/plan_in_hand.ts';
import { useBuild } from '../session/app_context.tsx';
import { pieceWords } from '../words/piece_words.ts';

/** Which piece the photos in hand are of; nothing for a rod in one piece. */
export function OnMat() {
  const document = useBuild().history.present;
  const count = pieceCount(document.plan);
  if (count === 1) return null;
  const piece = pieceInHand(document);
  return <p className="hint">{piece === undefined ? pieceWords.shownTogether : pieceWords.shown(piece, count)}</p>;
}
