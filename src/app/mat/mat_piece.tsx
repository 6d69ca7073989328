import { formatLength } from '../../plan/lengths/length_text.ts';
import { piecesOf } from '../../plan/pieces/pieces.ts';
import { pieceInHand } from '../../store/plan_in_hand.ts';
import { shootOfPiece } from '../edits/piece_edits.ts';
import { Choices } from '../kit/choices.tsx';
import { useBuild } from '../session/app_context.tsx';
import { pieceWords } from '../words/piece_words.ts';
import { useShootEdit } from './mat_readings_edit.ts';
import { MatStep } from './mat_step.tsx';

/** Which piece lies on the mat, or the rod put together. */
export function MatPiece() {
  const document = useBuild().history.present;
  const edit = useShootEdit();
  const { plan, lengths } = document;
  const pieces = piecesOf(plan);
  const chosen = pieceInHand(document);
  const said = (mm: number) => formatLength(mm, lengths, { mmDecimals: 0, inchDecimals: 1, denominator: 16 });
  return (
    <MatStep title={pieceWords.onMat} says={pieceWords.onMatHelp}>
      <Choices
        legend={pieceWords.onMat}
        value={String(chosen ?? 0)}
        choices={[
          ...pieces.map(({ number, of, from, to }) => ({
            value: String(number),
            label: pieceWords.piece(number, of),
            hint: pieceWords.alone(said(to - from)),
          })),
          { value: '0', label: pieceWords.together, hint: pieceWords.togetherHint },
        ]}
        onValue={(value) =>
          edit(pieceWords.change, (before) => shootOfPiece(plan, before, value === '0' ? undefined : Number(value)))
        }
      />
      {chosen !== undefined && chosen < pieces.length && <p className="hint">{pieceWords.noSeat}</p>}
    </MatStep>
  );
}
