import { guidesAreOn } from '../../plan/shoot.ts';
import { useBuild } from '../session/app_context.tsx';
import { Choices } from '../kit/choices.tsx';
import { GuidesDrawing, MarksDrawing, WrappedDrawing } from '../kit/drawings/stage_drawings.tsx';
import { useShootEdit, withKey } from './mat_readings_edit.ts';
import { MatStep } from './mat_step.tsx';
import { matWords } from '../words/mat_words.ts';

/** Whether the photos show marks on a bare blank, guides taped on, or guides wrapped. */
export function MatStage() {
  const { shoot } = useBuild().history.present;
  const edit = useShootEdit();
  const say = matWords;
  return (
    <MatStep title={say.steps.stage.title} says={say.steps.stage.says}>
      <Choices
        legend={say.steps.stage.title}
        value={shoot.stage}
        choices={[
          { value: 'marks', label: say.stageMarks, hint: say.stageMarksHint, drawing: <MarksDrawing /> },
          { value: 'rings', label: say.stageRings, hint: say.stageRingsHint, drawing: <GuidesDrawing /> },
          { value: 'wrapped', label: say.stageWrapped, hint: say.stageWrappedHint, drawing: <WrappedDrawing /> },
        ]}
        onValue={(stage) =>
          edit(say.changes.stage, (before) =>
            // an earlier report of marks belongs to guides only
            !guidesAreOn(stage) ? withKey({ ...before, stage }, 'earlierMarks', undefined) : { ...before, stage },
          )
        }
      />
    </MatStep>
  );
}
