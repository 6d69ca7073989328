import { useId } from 'react';
import { cautionsFor } from '../../plan/findings/cautions.ts';
import type { RollReference } from '../../plan/shoot.ts';
import { useBuild } from '../session/app_context.tsx';
import { Choices } from '../kit/choices.tsx';
import { CommonLineDrawing, SeatCardDrawing, SpineDrawing } from '../kit/drawings/roll_drawings.tsx';
import { useShootEdit, withKey } from './mat_readings_edit.ts';
import { MatStep } from './mat_step.tsx';
import { matWords } from '../words/mat_words.ts';

/** What the rings are turned in line with. */
export function MatRoll() {
  const { shoot } = useBuild().history.present;
  const edit = useShootEdit();
  const say = matWords;
  const put = (rollReference: RollReference, rollAngle?: number) =>
    edit(say.changes.roll, (before) => withKey({ ...before, rollReference }, 'rollAngle', rollAngle));
  return (
    <MatStep title={say.steps.roll.title} says={say.steps.roll.says}>
      <Choices
        legend={say.steps.roll.title}
        value={shoot.rollReference}
        choices={[
          { value: 'seat-card', label: say.seatCard, hint: say.seatCardHint, drawing: <SeatCardDrawing /> },
          { value: 'spine-line', label: say.spineLine, hint: say.spineLineHint, drawing: <SpineDrawing /> },
          { value: 'guides', label: say.guides, hint: say.guidesHint, drawing: <CommonLineDrawing /> },
        ]}
        onValue={(value) => put(value)}
      />
      {shoot.rollReference === 'spine-line' && (
        <SpineSide
          angle={shoot.rollAngle ?? 0}
          onAngle={(angle) => put('spine-line', angle === 0 ? undefined : angle)}
        />
      )}
      {shoot.rollReference === 'seat-card' && (
        <ul className="cautions">
          {cautionsFor(['blade']).map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      )}
    </MatStep>
  );
}

/** Where the rings belong, seen from the spine line; an angle from a file is kept as it came. */
function SpineSide({ angle, onAngle }: { angle: number; onAngle: (angle: number) => void }) {
  const id = useId();
  const angles = [...new Set([0, 180, angle])];
  const name = (degrees: number) =>
    ({ 0: matWords.onSpine, 180: matWords.againstSpine })[degrees] ?? matWords.atAngle(degrees);
  return (
    <div className="reading">
      <label htmlFor={id}>{matWords.belongs}</label>
      <select id={id} value={angle} onChange={(event) => onAngle(Number(event.target.value))}>
        {angles.map((degrees) => (
          <option key={degrees} value={degrees}>
            {name(degrees)}
          </option>
        ))}
      </select>
    </div>
  );
}
