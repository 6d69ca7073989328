import { longestRod } from '../../plan/files/longest_rod.ts';
import type { PositionKind } from '../../plan/plan.ts';
import { plainGuide } from '../../plan/layouts/starting_guides.ts';
import { useState } from 'react';
import { useApp, useBuild } from '../session/app_context.tsx';
import { addPlace, freeName, inOrder, sortRows, withWritten } from '../edits/plan_edits.ts';
import { ChoiceField, TextField } from '../fields/plan_fields.tsx';
import { lengthInField, readLengthField } from '../edits/plan_reading.ts';
import { PlanRow } from './plan_row.tsx';
import { useGuideShapes } from './use_guide_shapes.ts';
import { changeWords } from '../words/changes_words.ts';
import { planWords } from '../words/plan_words.ts';
import { kindWords } from '../words/sign_words.ts';

/** The list of places: each can be changed where it stands, and the next one is typed below. */
export function PlanRows({ chosen }: { chosen: string | undefined }) {
  const { actions } = useApp();
  const { plan } = useBuild().history.present;
  const [shapes, lookAtShapes] = useGuideShapes();
  return (
    <section aria-label={planWords.places} className="fields">
      <h2>{planWords.places}</h2>
      <p className="hint">{planWords.placesHelp(plan.datum ?? 'blank-tip')}</p>
      <ol className="plan-rows">
        {plan.positions.map((_, row) => (
          <PlanRow
            key={row}
            row={row}
            shapes={shapes}
            open={plan.positions[row]!.id === chosen}
            onShapeKept={lookAtShapes}
          />
        ))}
      </ol>
      {!inOrder(plan.positions) && (
        <button type="button" onClick={() => actions.edit(changeWords.order, sortRows)}>
          {planWords.inOrder}
        </button>
      )}
      <NextPlace />
    </section>
  );
}

const textName = 'new.at';

/** The next place: type its distance, Enter, and the one after it. */
function NextPlace() {
  const { actions } = useApp();
  const { plan, lengths, written } = useBuild().history.present;
  const [kind, setKind] = useState<PositionKind>('guide');
  const [ownName, setOwnName] = useState('');
  const [asked, setAsked] = useState(false);
  const id = ownName.trim() || freeName(plan.positions, kind);
  const text = written?.[textName]?.text ?? '';
  const reading = readLengthField(text, lengths, { least: 0, most: longestRod });
  const write = (typed: string) => {
    setAsked(false);
    actions.edit(
      changeWords.field(planWords.at),
      (document) => withWritten(document, textName, typed === '' ? undefined : { text: typed }),
      textName,
    );
  };
  const add = () => {
    if (!reading.ok || reading.value === undefined) return setAsked(true);
    const at = reading.value;
    actions.edit(changeWords.addPlace(id), (document) => {
      const added = addPlace(withWritten(document, textName, undefined), { id, kind, at }, plainGuide);
      const row = added.plan.positions.findIndex((position) => position.id === id);
      const asTyped = text !== lengthInField(at, lengths) ? { text, value: at } : undefined;
      return asTyped ? withWritten(added, `plan.row.${row}.at`, asTyped) : added;
    });
    setOwnName('');
  };
  return (
    <form
      className="plan-next"
      aria-label={planWords.addTitle}
      onSubmit={(event) => {
        event.preventDefault();
        add();
      }}
    >
      <TextField label={planWords.name} value={ownName || id} onChange={setOwnName} />
      <TextField
        label={`${planWords.at} (${lengths === 'mm' ? 'mm' : 'in'})`}
        value={text}
        onChange={write}
        why={asked && !reading.ok ? reading.why : undefined}
      />
      <ChoiceField label={planWords.kind} value={kind} names={kindWords} onChange={setKind} />
      <button type="submit" className={plan.positions.length === 0 ? 'primary' : ''}>
        {planWords.add}
      </button>
    </form>
  );
}
