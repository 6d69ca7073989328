import { Fragment } from 'react';
import { longestRod } from '../../plan/files/longest_rod.ts';
import type { Fitting, MarkedBy } from '../../plan/plan.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { Fold } from '../kit/fold.tsx';
import { editPlan, setLengths, withWritten } from '../edits/plan_edits.ts';
import { ChoiceField, LengthField, NumberField, TextField, useKeptChoice } from '../fields/plan_fields.tsx';
import { PlanPieces } from './plan_pieces.tsx';
import { PlanTipTop } from './plan_tip_top.tsx';
import { changeWords } from '../words/changes_words.ts';
import { frameWords } from '../words/frame_words.ts';
import { pieceWords } from '../words/piece_words.ts';
import { planWords } from '../words/plan_words.ts';

const fittingKinds = ['ferrule', 'winding-check', 'grip', 'reel-seat'] as const;
const materials = ['carbon', 'glass', 'other'] as const;

/** What the blank is made of, as far as the cautions go. */
export const useMaterial = () => useKeptChoice('blank.material', materials);

/** The rod's name, its unit, and the bare blank. */
export function PlanBlank() {
  const { actions } = useApp();
  const { plan, lengths } = useBuild().history.present;
  const [material, setMaterial] = useMaterial();
  const { blank } = plan;
  const blankLength = (key: 'length' | 'tipDiameter' | 'buttDiameter') => ({
    name: `plan.blank.${key}`,
    label: planWords[key],
    value: blank[key] > 0 ? blank[key] : undefined,
    optional: true,
    set: (document: Parameters<ReturnType<typeof editPlan>>[0], value: number | undefined) =>
      editPlan((before) => ({ ...before, blank: { ...before.blank, [key]: value ?? 0 } }))(document),
  });
  return (
    <section aria-label={planWords.blank} className="fields">
      <h2>{planWords.blank}</h2>
      <RodName />
      <ChoiceField
        label={planWords.units}
        value={lengths}
        names={frameWords.lengthNames}
        onChange={(unit) => actions.edit(changeWords.lengths, setLengths(unit))}
      />
      <LengthField {...blankLength('length')} least={100} most={longestRod} />
      <div className="field-pair">
        <LengthField {...blankLength('tipDiameter')} least={0.3} most={100} />
        <LengthField {...blankLength('buttDiameter')} least={0.3} most={100} />
      </div>
      <div className="field-pair">
        <ChoiceField
          label={planWords.finish}
          value={blank.finish}
          names={planWords.finishes}
          onChange={(finish) =>
            actions.edit(
              changeWords.field(planWords.finish),
              editPlan((before) => ({ ...before, blank: { ...before.blank, finish } })),
            )
          }
        />
        <ChoiceField label={planWords.material} value={material} names={planWords.materials} onChange={setMaterial} />
      </div>
      <Fold title={planWords.tipTopTitle}>
        <PlanTipTop />
      </Fold>
      {!plan.section && (
        <Fold title={pieceWords.title}>
          <PlanPieces />
        </Fold>
      )}
      <Fold title={planWords.more}>
        <More />
      </Fold>
    </section>
  );
}

function RodName() {
  const { actions } = useApp();
  const { plan } = useBuild().history.present;
  return (
    <TextField
      label={planWords.title}
      value={plan.title}
      why={plan.title.trim() === '' ? planWords.needsName : undefined}
      onChange={(title) =>
        actions.edit(
          changeWords.field(planWords.title),
          editPlan((before) => ({ ...before, title })),
          'plan.title',
        )
      }
    />
  );
}

function More() {
  const { actions } = useApp();
  const { plan } = useBuild().history.present;
  return (
    <>
      <div className="field-pair">
        <LengthField
          name="plan.tolerance.along"
          label={planWords.along}
          value={plan.tolerance.along}
          least={0.1}
          most={50}
          set={(document, along) =>
            editPlan((before) => ({ ...before, tolerance: { ...before.tolerance, along: along! } }))(document)
          }
        />
        <NumberField
          name="plan.tolerance.roll"
          label={planWords.roll}
          value={plan.tolerance.roll}
          least={0.1}
          most={90}
          set={(document, roll) =>
            editPlan((before) => ({ ...before, tolerance: { ...before.tolerance, roll: roll! } }))(document)
          }
        />
      </div>
      <p className="hint">{planWords.toleranceHelp}</p>
      <ChoiceField
        label={planWords.markedBy}
        value={plan.markedBy ?? 'centre'}
        names={planWords.markedByNames}
        onChange={(markedBy: MarkedBy) =>
          actions.edit(
            changeWords.field(planWords.markedBy),
            editPlan((before) => ({ ...before, markedBy })),
          )
        }
      />
      {!plan.joints && (
        <LengthField
          name="plan.section"
          label={planWords.section}
          hint={planWords.sectionHelp}
          value={plan.section?.startsAt}
          least={0}
          most={longestRod}
          optional
          set={(document, startsAt) =>
            editPlan((before) => {
              const { section: _, ...whole } = before;
              return startsAt === undefined ? whole : { ...whole, section: { startsAt } };
            })(document)
          }
        />
      )}
      <Fittings />
    </>
  );
}

/** Ferrule, winding check, grip and reel seat: from and to, both needed before one counts. */
function Fittings() {
  const { plan, written } = useBuild().history.present;
  const set =
    (kind: Fitting['kind'], end: 'from' | 'to') =>
    (document: Parameters<ReturnType<typeof editPlan>>[0], value: number | undefined) => {
      const other = end === 'from' ? 'to' : 'from';
      const before = document.plan.fittings?.find((fitting) => fitting.kind === kind);
      const otherValue = before?.[other] ?? document.written?.[`fitting.${kind}.${other}`]?.value;
      const kept = (document.plan.fittings ?? []).filter((fitting) => fitting !== before);
      const both = { [end]: value, [other]: otherValue } as Record<'from' | 'to', number | undefined>;
      const whole =
        both.from !== undefined && both.to !== undefined && both.from < both.to
          ? [{ kind, from: both.from, to: both.to }]
          : [];
      const { fittings: _, ...rest } = document.plan;
      const fittings = [...kept, ...whole];
      const next = { ...document, plan: { ...rest, ...(fittings.length > 0 && { fittings }) } };
      // a place that has lost its fitting stays in its field
      return before && whole.length === 0 && otherValue !== undefined && !next.written?.[`fitting.${kind}.${other}`]
        ? withWritten(next, `fitting.${kind}.${other}`, { text: '', value: otherValue })
        : next;
    };
  return (
    <fieldset className="fields">
      <legend>{planWords.fittings}</legend>
      <p className="hint">{planWords.fittingsHelp}</p>
      {fittingKinds.map((kind) => {
        const fitting = plan.fittings?.find((one) => one.kind === kind);
        const [from, to] = (['from', 'to'] as const).map(
          (end) => fitting?.[end] ?? written?.[`fitting.${kind}.${end}`]?.value,
        );
        const wrongWay = from !== undefined && to !== undefined && from >= to;
        const half = (from === undefined) !== (to === undefined);
        return (
          <Fragment key={kind}>
            <div className="field-pair">
              {(['from', 'to'] as const).map((end) => (
                <LengthField
                  key={end}
                  name={`fitting.${kind}.${end}`}
                  label={`${planWords.fittingNames[kind]}, ${planWords[end]}`}
                  value={fitting?.[end] ?? written?.[`fitting.${kind}.${end}`]?.value}
                  least={0}
                  most={longestRod}
                  optional
                  set={set(kind, end)}
                />
              ))}
            </div>
            {(wrongWay || half) && (
              <p className={wrongWay ? 'field-why' : 'hint'}>
                {wrongWay ? planWords.fittingWrongWay : planWords.fittingHalf}
              </p>
            )}
          </Fragment>
        );
      })}
    </fieldset>
  );
}
