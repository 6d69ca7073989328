import { useBuild } from '../session/app_context.tsx';
import { LayDrawing, RowsDrawing } from '../kit/drawings/mat_drawings.tsx';
import { pieceCount } from '../../store/plan_in_hand.ts';
import { MatKept } from './mat_kept.tsx';
import { MatPiece } from './mat_piece.tsx';
import { MatPrint } from './mat_print.tsx';
import { MatRest } from './mat_rest.tsx';
import { MatRoll } from './mat_roll.tsx';
import { MatRows } from './mat_rows.tsx';
import { MatSpan } from './mat_span.tsx';
import { MatStage } from './mat_stage.tsx';
import { MatStep } from './mat_step.tsx';
import { printedMat } from './printed_mat.ts';
import { matWords } from '../words/mat_words.ts';

/** The mat: print it, measure it, lay it, lay the rod on it; and what the photos will show. */
export function MatScreen() {
  const { present } = useBuild().history;
  const mat = printedMat(present);
  const bare = present.shoot.stage === 'blank';
  const { steps } = matWords;
  return (
    <ol className="mat-steps">
      {pieceCount(present.plan) > 1 && <MatPiece />}
      <MatPrint mat={mat} />
      <MatStep title={steps.rows.title} says={steps.rows.says} drawing={<RowsDrawing />}>
        <MatRows mat={mat} />
      </MatStep>
      {mat.tiles > 1 && <MatStep title={steps.lay.title} says={steps.lay.says} drawing={<LayDrawing />} />}
      <MatSpan mat={mat} />
      <MatRest />
      {!bare && <MatRoll />}
      <MatStage />
      <MatKept />
    </ol>
  );
}
