import { quarterTurns } from '../../store/turned_blanks.ts';
import { useId } from 'react';
import { atStage } from '../edits/stage_edits.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { Choices } from '../kit/choices.tsx';
import { BlankDrawing, GuidesDrawing, MarksDrawing, WrappedDrawing } from '../kit/drawings/stage_drawings.tsx';
import { useShootEdit } from './mat_readings_edit.ts';
import { MatStep } from './mat_step.tsx';
import { blankWords } from '../words/blank_words.ts';
import { matWords } from '../words/mat_words.ts';

/** Whether the photos show the bare blank, marks on it, guides taped on, or guides wrapped. */
export function MatStage() {
  const { actions } = useApp();
  const { shoot } = useBuild().history.present;
  const say = matWords;
  return (
    <MatStep title={say.steps.stage.title} says={say.steps.stage.says}>
      <Choices
        legend={say.steps.stage.title}
        value={shoot.stage}
        choices={[
          { value: 'blank', label: blankWords.stage, hint: blankWords.stageHint, drawing: <BlankDrawing /> },
          { value: 'marks', label: say.stageMarks, hint: say.stageMarksHint, drawing: <MarksDrawing /> },
          { value: 'rings', label: say.stageRings, hint: say.stageRingsHint, drawing: <GuidesDrawing /> },
          { value: 'wrapped', label: say.stageWrapped, hint: say.stageWrappedHint, drawing: <WrappedDrawing /> },
        ]}
        onValue={(stage) => actions.edit(say.changes.stage, (document) => atStage(document, stage))}
      />
      {shoot.stage === 'blank' && <BlankTurn turn={shoot.turn} />}
    </MatStep>
  );
}

/** How far the blank is turned; an angle from a file is kept as it came. */
function BlankTurn({ turn }: { turn: number | undefined }) {
  const id = useId();
  const edit = useShootEdit();
  const turns = turn === undefined || quarterTurns.includes(turn) ? quarterTurns : [...quarterTurns, turn];
  return (
    <div className="reading">
      <label htmlFor={id}>{blankWords.turn}</label>
      <select
        id={id}
        aria-describedby={`${id}-says`}
        value={turn ?? ''}
        onChange={(event) =>
          edit(blankWords.turnChange, (before) => ({ ...before, turn: Number(event.target.value) }), 'turn')
        }
      >
        {turn === undefined && (
          <option value="" disabled>
            {blankWords.turnOpen}
          </option>
        )}
        {turns.map((degrees) => (
          <option key={degrees} value={degrees}>
            {blankWords.turnAt(degrees)}
          </option>
        ))}
      </select>
      <p id={`${id}-says`} className="hint">
        {blankWords.turnHint}
      </p>
    </div>
  );
}
