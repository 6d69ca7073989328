import { Fragment } from 'react';
import { longestRod } from '../../plan/files/longest_rod.ts';
import type { Fitting, MarkedBy } from '../../plan/plan.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { Fold } from '../kit/fold.tsx';
import { editPlan, setLengths, withWritten } from '../edits/plan_edits.ts';
import { ChoiceField, LengthField, NumberField, TextField, useKeptChoice } from '../fields/plan_fields.tsx';
import { words } from '../words/words.ts';

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
    label: words.plan[key],
    value: blank[key] > 0 ? blank[key] : undefined,
    optional: true,
    set: (document: Parameters<ReturnType<typeof editPlan>>[0], value: number | undefined) =>
      editPlan((before) => ({ ...before, blank: { ...before.blank, [key]: value ?? 0 } }))(document),
  });
  return (
    <section aria-label={words.plan.blank} className="fields">
      <h2>{words.plan.blank}</h2>
      <TextField
        label={words.plan.title}
        value={plan.title}
        why={plan.title.trim() === '' ? words.plan.needsName : undefined}
        onChange={(title) =>
          actions.edit(
            words.changes.field(words.plan.title),
            editPlan((before) => ({ ...before, title })),
            'plan.title',
          )
        }
      />
      <ChoiceField
        label={words.plan.units}
        value={lengths}
        names={words.frame.lengthNames}
        onChange={(unit) => actions.edit(words.changes.lengths, setLengths(unit))}
      />
      <LengthField {...blankLength('length')} least={100} most={longestRod} />
      <div className="field-pair">
        <LengthField {...blankLength('tipDiameter')} least={0.3} most={100} />
        <LengthField {...blankLength('buttDiameter')} least={0.3} most={100} />
      </div>
      <div className="field-pair">
        <ChoiceField
          label={words.plan.finish}
          value={blank.finish}
          names={words.plan.finishes}
          onChange={(finish) =>
            actions.edit(
              words.changes.field(words.plan.finish),
              editPlan((before) => ({ ...before, blank: { ...before.blank, finish } })),
            )
          }
        />
        <ChoiceField label={words.plan.material} value={material} names={words.plan.materials} onChange={setMaterial} />
      </div>
      <Fold title={words.plan.more}>
        <More />
      </Fold>
    </section>
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
          label={words.plan.along}
          value={plan.tolerance.along}
          least={0.1}
          most={50}
          set={(document, along) =>
            editPlan((before) => ({ ...before, tolerance: { ...before.tolerance, along: along! } }))(document)
          }
        />
        <NumberField
          name="plan.tolerance.roll"
          label={words.plan.roll}
          value={plan.tolerance.roll}
          least={0.1}
          most={90}
          set={(document, roll) =>
            editPlan((before) => ({ ...before, tolerance: { ...before.tolerance, roll: roll! } }))(document)
          }
        />
      </div>
      <p className="hint">{words.plan.toleranceHelp}</p>
      <ChoiceField
        label={words.plan.markedBy}
        value={plan.markedBy ?? 'centre'}
        names={words.plan.markedByNames}
        onChange={(markedBy: MarkedBy) =>
          actions.edit(
            words.changes.field(words.plan.markedBy),
            editPlan((before) => ({ ...before, markedBy })),
          )
        }
      />
      <LengthField
        name="plan.section"
        label={words.plan.section}
        hint={words.plan.sectionHelp}
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
      <legend>{words.plan.fittings}</legend>
      <p className="hint">{words.plan.fittingsHelp}</p>
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
                  label={`${words.plan.fittingNames[kind]}, ${words.plan[end]}`}
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
                {wrongWay ? words.plan.fittingWrongWay : words.plan.fittingHalf}
              </p>
            )}
          </Fragment>
        );
      })}
    </fieldset>
  );
}
