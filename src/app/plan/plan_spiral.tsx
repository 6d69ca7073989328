import { layOutSpiral, usualOnTop } from '../../plan/layouts/spiral_layout.ts';
import type { Guide, Plan } from '../../plan/plan.ts';
import { editPlan } from '../edits/plan_edits.ts';
import { ChoiceField, NumberField, useKeptChoice, useKeptValues } from '../fields/plan_fields.tsx';
import { useApp, useBuild } from '../session/app_context.tsx';
import { changeWords } from '../words/changes_words.ts';
import { orWhy } from './or_why.ts';
import { planWords } from '../words/plan_words.ts';

const ways = ['clockwise', 'anticlockwise'] as const;
/** Guides in between where the builder says nothing; common practice, no source. */
const usualBetween = 3;

/** Guides that walk round the blank, from top at the reel to underneath at the tip. */
export function PlanSpiral() {
  const { actions } = useApp();
  const { plan } = useBuild().history.present;
  const value = useKeptValues();
  const [toward, setToward] = useKeptChoice('spiral.toward', ways);
  const onTop = value('spiral.onTop') ?? usualOnTop;
  const transition = value('spiral.transition') ?? usualBetween;
  const guides = plan.positions.filter(({ kind }) => kind === 'guide');
  const solved = orWhy(() => ({ rolls: layOutSpiral({ toward, onTop, transition }, guides.length) }));
  return (
    <>
      <p className="hint">{planWords.spiralHelp}</p>
      <ChoiceField label={planWords.spiralToward} value={toward} names={planWords.spiralWays} onChange={setToward} />
      <div className="field-pair">
        <NumberField name="spiral.onTop" label={planWords.spiralOnTop} value={onTop} least={0} most={100} whole />
        <NumberField
          name="spiral.transition"
          label={planWords.spiralBetween}
          value={transition}
          least={0}
          most={100}
          whole
        />
      </div>
      {'why' in solved ? (
        <p className="field-why" role="status">
          {solved.why}
        </p>
      ) : (
        <>
          <ul className="notes">
            {guides.map(({ id }, k) => (
              <li key={id}>{planWords.spiralRoll(id, solved.rolls[k]!)}</li>
            ))}
          </ul>
          <button
            type="button"
            className="primary"
            onClick={() =>
              actions.edit(
                changeWords.rolls,
                editPlan((before) => withRolls(before, solved.rolls)),
              )
            }
          >
            {planWords.spiralUse}
          </button>
        </>
      )}
    </>
  );
}

/** The plan with its guides, tip to butt, rolled so. */
function withRolls(plan: Plan, rolls: readonly number[]): Plan {
  let k = 0;
  return {
    ...plan,
    positions: plan.positions.map((position) => {
      if (!position.guide) return position;
      const { roll: _, ...shape } = position.guide;
      const roll = rolls[k++]!;
      return { ...position, guide: (roll === 0 ? shape : { ...shape, roll }) as Guide };
    }),
  };
}
