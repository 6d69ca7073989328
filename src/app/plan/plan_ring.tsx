import { useState } from 'react';
import { type Guide, type RingGuide, ringOf } from '../../plan/plan.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { changeRow, rowField, withoutRowTexts } from '../edits/plan_edits.ts';
import { ChoiceField, LengthField, NumberField, TextField } from '../fields/plan_fields.tsx';
import type { GuideShapes } from './use_guide_shapes.ts';
import { changeWords } from '../words/changes_words.ts';
import { planWords } from '../words/plan_words.ts';

type LengthKey = 'ringOuter' | 'ringInner' | 'height' | 'footLength' | 'reach';
/** What a guide may measure, mm, as in a plan's file. */
const limits: Record<LengthKey, { least: number; most: number; optional?: true }> = {
  ringOuter: { least: 1, most: 150 },
  ringInner: { least: 0.5, most: 150 },
  height: { least: 0, most: 150 },
  footLength: { least: 1, most: 100, optional: true },
  reach: { least: -50, most: 100, optional: true },
};

/** A guide's shape: like one that is kept, or measured field by field, and kept in turn. */
export function PlanRing({ row, shapes, onShapeKept }: { row: number; shapes: GuideShapes; onShapeKept: () => void }) {
  const { actions } = useApp();
  const { id, guide: planned } = useBuild().history.present.plan.positions[row]!;
  const guide = ringOf(planned);
  const [name, setName] = useState('');
  const [kept, setKept] = useState<string>();
  if (!guide) return null;

  const all = [...shapes.own, ...shapes.starting];
  const change = (part: Partial<RingGuide>, run?: string) =>
    actions.edit(
      changeWords.shape(id),
      changeRow(row, (before) => ({ ...before, guide: { ...ringOf(before.guide)!, ...part } })),
      run,
    );
  const setShape = (chosen: string) => {
    const shape = all.find((one) => one.name === chosen);
    if (!shape) return;
    actions.edit(changeWords.shape(id), (document) =>
      withoutRowTexts(changeRow(row, (before) => ({ ...before, guide: { ...shape.guide } }))(document), row),
    );
  };
  const field = (key: LengthKey) => (
    <LengthField
      name={rowField(row, `guide.${key}`)}
      label={planWords[key]}
      value={guide[key]}
      {...limits[key]}
      // rings are sold by millimetres everywhere
      {...((key === 'ringOuter' || key === 'ringInner') && { sold: 'mm' as const })}
      set={(document, mm) =>
        changeRow(row, (before) => {
          const { [key]: _, ...rest } = ringOf(before.guide)!;
          return { ...before, guide: (mm === undefined ? rest : { ...rest, [key]: mm }) as RingGuide };
        })(document)
      }
    />
  );
  const sameAs = all.find((one) => JSON.stringify(sorted(one.guide)) === JSON.stringify(sorted(guide)))?.name ?? '';
  return (
    <>
      <ChoiceField
        label={planWords.shape}
        value={sameAs}
        names={{ '': planWords.shapeChoose, ...Object.fromEntries(all.map((shape) => [shape.name, shape.name])) }}
        onChange={setShape}
      />
      <div className="field-pair">
        {field('ringOuter')}
        {field('ringInner')}
      </div>
      {guide.ringInner >= guide.ringOuter && <p className="field-why">{planWords.boreTooWide}</p>}
      <div className="field-pair">
        {field('height')}
        <NumberField
          name={rowField(row, 'guide.lean')}
          label={planWords.lean}
          value={guide.lean}
          least={-60}
          most={60}
          set={(document, lean) =>
            changeRow(row, (before) => ({ ...before, guide: { ...ringOf(before.guide)!, lean: lean! } }))(document)
          }
        />
      </div>
      <div className="field-pair">
        <ChoiceField
          label={planWords.foot}
          value={guide.foot}
          names={planWords.feet}
          onChange={(foot) => change({ foot })}
        />
        {guide.foot === 'single' && (
          <ChoiceField
            label={planWords.footToward}
            value={guide.footToward ?? 'butt'}
            names={planWords.ends}
            onChange={(footToward) => change({ footToward })}
          />
        )}
      </div>
      <div className="field-pair">
        {field('footLength')}
        {field('reach')}
      </div>
      <form
        className="ways"
        onSubmit={(event) => {
          event.preventDefault();
          const called = name.trim();
          if (called === '') return;
          void actions.keepGuide({ name: called, guide }).then(() => {
            setKept(called);
            setName('');
            onShapeKept();
          });
        }}
      >
        <TextField label={planWords.saveShape} value={name} onChange={setName} />
        <button type="submit">{planWords.save}</button>
      </form>
      <p className="hint" role="status">
        {kept && planWords.kept(kept)}
      </p>
    </>
  );
}

const sorted = (guide: Guide) => Object.entries(guide).toSorted(([a], [b]) => (a < b ? -1 : 1));
