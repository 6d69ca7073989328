import { useState } from 'react';
import type { Rest } from '../../plan/shoot.ts';
import { useBuild } from '../session/app_context.tsx';
import { Choices } from '../kit/choices.tsx';
import { RodOnMatDrawing } from '../kit/drawings/mat_drawings.tsx';
import { BlocksDrawing, FlatDrawing } from '../kit/drawings/rest_drawings.tsx';
import { MatLengthField } from '../fields/mat_length_field.tsx';
import { useShootEdit } from './mat_readings_edit.ts';
import { MatStep } from './mat_step.tsx';
import { matWords } from '../words/mat_words.ts';

/** How the rod lies on the mat, and how high. */
export function MatRest() {
  const { lengths, shoot } = useBuild().history.present;
  const edit = useShootEdit();
  const { rest } = shoot;
  // blocks without their height say nothing yet: until it is given the choice is only made here
  const [wantsBlocks, setWantsBlocks] = useState(false);
  const kind = rest.kind === 'blocks' || wantsBlocks ? 'blocks' : 'flat';
  const put = (next: Rest, run?: string) => edit(matWords.changes.rest, (before) => ({ ...before, rest: next }), run);
  const say = matWords;
  return (
    <MatStep title={say.steps.rest.title} says={say.steps.rest.says} drawing={<RodOnMatDrawing />}>
      <Choices
        legend={say.steps.rest.title}
        value={kind}
        choices={[
          { value: 'flat', label: say.restFlat, hint: say.restFlatHint, drawing: <FlatDrawing /> },
          { value: 'blocks', label: say.restBlocks, drawing: <BlocksDrawing /> },
        ]}
        onValue={(value) => {
          setWantsBlocks(value === 'blocks');
          if (value === 'flat' && rest.kind === 'blocks') put({ kind: 'flat' });
        }}
      />
      {kind === 'flat' ? (
        <MatLengthField
          key="grip"
          label={say.gripDiameter}
          hint={say.gripHint}
          value={rest.kind === 'flat' ? rest.gripDiameter : undefined}
          display={lengths}
          problem={(mm) => (mm < 2 || mm > 150 ? say.gripOdd : undefined)}
          onValue={(mm) => put(mm === undefined ? { kind: 'flat' } : { kind: 'flat', gripDiameter: mm }, 'grip')}
        />
      ) : (
        <>
          <MatLengthField
            key="axis"
            label={say.axisHeight}
            hint={say.axisHint}
            value={rest.kind === 'blocks' ? rest.axisHeight : undefined}
            display={lengths}
            problem={(mm) => (mm < 0 || mm > 500 ? say.axisOdd : undefined)}
            onValue={(mm) => {
              setWantsBlocks(true);
              put(mm === undefined ? { kind: 'flat' } : { kind: 'blocks', axisHeight: mm }, 'axis');
            }}
          />
          {rest.kind === 'flat' && <p className="hint">{say.axisNeeded}</p>}
        </>
      )}
    </MatStep>
  );
}
