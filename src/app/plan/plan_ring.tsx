import { useState } from 'react';
import { type Guide, type RingGuide, ringOf } from '../../plan/plan.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { changeRow, rowField, withoutRowTexts } from '../edits/plan_edits.ts';
import { ChoiceField, LengthField, NumberField, TextField } from '../fields/plan_fields.tsx';
import type { NamedGuide } from '../../plan/files/guide_set.ts';
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
  const guide = ringOf(useBuild().history.present.plan.positions[row]!.guide);
  if (!guide) return null;
  return (
    <>
      <LikeShape row={row} guide={guide} shapes={[...shapes.own, ...shapes.starting]} />
      <div className="field-pair">
        <RingLength row={row} guide={guide} of="ringOuter" />
        <RingLength row={row} guide={guide} of="ringInner" />
      </div>
      {guide.ringInner >= guide.ringOuter && <p className="field-why">{planWords.boreTooWide}</p>}
      <div className="field-pair">
        <RingLength row={row} guide={guide} of="height" />
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
      <Foot row={row} guide={guide} />
      <div className="field-pair">
        <RingLength row={row} guide={guide} of="footLength" />
        <RingLength row={row} guide={guide} of="reach" />
      </div>
      <KeepShape guide={guide} onShapeKept={onShapeKept} />
    </>
  );
}

interface RingAt {
  row: number;
  guide: RingGuide;
}

/** Which kept shape it is like, and the choice of another. */
function LikeShape({ row, guide, shapes }: RingAt & { shapes: readonly NamedGuide[] }) {
  const { actions } = useApp();
  const { id } = useBuild().history.present.plan.positions[row]!;
  const setShape = (chosen: string) => {
    const shape = shapes.find((one) => one.name === chosen);
    if (!shape) return;
    actions.edit(changeWords.shape(id), (document) =>
      withoutRowTexts(changeRow(row, (before) => ({ ...before, guide: { ...shape.guide } }))(document), row),
    );
  };
  const sameAs = shapes.find((one) => JSON.stringify(sorted(one.guide)) === JSON.stringify(sorted(guide)))?.name ?? '';
  return (
    <ChoiceField
      label={planWords.shape}
      value={sameAs}
      names={{ '': planWords.shapeChoose, ...Object.fromEntries(shapes.map((shape) => [shape.name, shape.name])) }}
      onChange={setShape}
    />
  );
}

const sorted = (guide: Guide) => Object.entries(guide).toSorted(([a], [b]) => (a < b ? -1 : 1));

/** One of its lengths. */
function RingLength({ row, guide, of }: RingAt & { of: LengthKey }) {
  return (
    <LengthField
      name={rowField(row, `guide.${of}`)}
      label={planWords[of]}
      value={guide[of]}
      {...limits[of]}
      // rings are sold by millimetres everywhere
      {...((of === 'ringOuter' || of === 'ringInner') && { sold: 'mm' as const })}
      set={(document, mm) =>
        changeRow(row, (before) => {
          const { [of]: _, ...rest } = ringOf(before.guide)!;
          return { ...before, guide: (mm === undefined ? rest : { ...rest, [of]: mm }) as RingGuide };
        })(document)
      }
    />
  );
}

/** How many feet it has, and which way a single one points. */
function Foot({ row, guide }: RingAt) {
  const { actions } = useApp();
  const { id } = useBuild().history.present.plan.positions[row]!;
  const change = (part: Partial<RingGuide>) =>
    actions.edit(
      changeWords.shape(id),
      changeRow(row, (before) => ({ ...before, guide: { ...ringOf(before.guide)!, ...part } })),
    );
  return (
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
  );
}

/** Keeps the shape under a name, for other guides and other rods. */
function KeepShape({ guide, onShapeKept }: { guide: RingGuide; onShapeKept: () => void }) {
  const { actions } = useApp();
  const [name, setName] = useState('');
  const [kept, setKept] = useState<string>();
  return (
    <>
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
