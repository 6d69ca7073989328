import { type Plan, type PlanDatum, type TipTop, usualHome } from '../../plan/plan.ts';
import { plainTipTop } from '../../plan/layouts/starting_guides.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { editPlan } from '../edits/plan_edits.ts';
import { ChoiceField, LengthField, NumberField } from '../fields/plan_fields.tsx';
import { changeWords } from '../words/changes_words.ts';
import { planWords } from '../words/plan_words.ts';

/** What a tip-top may measure, mm, as in a plan's file. */
const limits = {
  ringOuter: { least: 1, most: 150 },
  ringInner: { least: 0.5, most: 150 },
  tubeLength: { least: 1, most: 60 },
  tubeInner: { least: 0.3, most: 20 },
} as const;

/** Whether the tip-top is on, what it measures, and where the plan's distances count from. */
export function PlanTipTop() {
  const { actions } = useApp();
  const { plan } = useBuild().history.present;
  const { tipTop, datum } = plan;
  const edit = (change: (before: Plan) => Plan) =>
    actions.edit(changeWords.field(planWords.tipTopTitle), editPlan(change));
  return (
    <>
      <ChoiceField
        label={planWords.tipTopOn}
        value={tipTop ? 'on' : 'off'}
        names={planWords.tipTopOnNames}
        onChange={(chosen) =>
          edit((before) => {
            const { tipTop: _, datum: __, ...bare } = before;
            return chosen === 'on' ? { ...before, tipTop: before.tipTop ?? plainTipTop } : bare;
          })
        }
      />
      {tipTop && <Measures tipTop={tipTop} />}
      {tipTop && (
        <ChoiceField
          label={planWords.datum}
          value={datum ?? 'blank-tip'}
          names={planWords.datumNames}
          onChange={(chosen: PlanDatum) =>
            edit((before) => {
              const { datum: _, ...rest } = before;
              return chosen === 'blank-tip' ? rest : { ...rest, datum: chosen };
            })
          }
        />
      )}
    </>
  );
}

const labels = {
  ringOuter: planWords.ringOuter,
  ringInner: planWords.ringInner,
  tubeLength: planWords.tubeLength,
  tubeInner: planWords.tubeInner,
};

/** A changed tip-top in a changed document; `tipTop` stands where the plan has none yet. */
const withTipTop = (tipTop: TipTop, change: (before: TipTop) => TipTop) =>
  editPlan((before) => ({ ...before, tipTop: change(before.tipTop ?? tipTop) }));

function TipTopLength({ tipTop, of }: { tipTop: TipTop; of: keyof typeof limits }) {
  return (
    <LengthField
      name={`plan.tipTop.${of}`}
      label={labels[of]}
      value={tipTop[of]}
      {...limits[of]}
      // rings and tubes are sold by millimetres everywhere
      {...(of !== 'tubeLength' && { sold: 'mm' as const })}
      set={(document, mm) => withTipTop(tipTop, (before) => ({ ...before, [of]: mm! }))(document)}
    />
  );
}

function Measures({ tipTop }: { tipTop: TipTop }) {
  return (
    <>
      <div className="field-pair">
        <TipTopLength tipTop={tipTop} of="ringOuter" />
        <TipTopLength tipTop={tipTop} of="ringInner" />
      </div>
      {tipTop.ringInner >= tipTop.ringOuter && <p className="field-why">{planWords.boreTooWide}</p>}
      <div className="field-pair">
        <TipTopLength tipTop={tipTop} of="tubeLength" />
        <TipTopLength tipTop={tipTop} of="tubeInner" />
      </div>
      <div className="field-pair">
        <LengthField
          name="plan.tipTop.home"
          label={planWords.home}
          hint={planWords.homeHelp(usualHome.mm)}
          value={tipTop.home}
          least={0}
          most={20}
          optional
          set={(document, home) =>
            withTipTop(tipTop, (before) => {
              const { home: _, ...rest } = before;
              return home === undefined ? rest : { ...rest, home };
            })(document)
          }
        />
        <NumberField
          name="plan.tipTop.roll"
          label={planWords.plannedRoll}
          value={tipTop.roll}
          least={-180}
          most={180}
          optional
          set={(document, roll) =>
            withTipTop(tipTop, (before) => {
              const { roll: _, ...rest } = before;
              return roll ? { ...rest, roll } : rest;
            })(document)
          }
        />
      </div>
    </>
  );
}
