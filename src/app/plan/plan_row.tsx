import { useEffect, useRef } from 'react';
import { longestRod } from '../../plan/files/longest_rod.ts';
import type { PositionKind } from '../../plan/plan.ts';
import { plainGuide } from '../../plan/layouts/starting_guides.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { Fold } from '../kit/fold.tsx';
import { arrange, changeRow, rowField } from '../edits/plan_edits.ts';
import { ChoiceField, LengthField, TextField } from '../fields/plan_fields.tsx';
import { PlanGuide } from './plan_guide.tsx';
import { lengthInField } from '../edits/plan_reading.ts';
import type { GuideShapes } from './use_guide_shapes.ts';
import { changeWords } from '../words/changes_words.ts';
import { planWords } from '../words/plan_words.ts';
import { kindWords } from '../words/sign_words.ts';

/** One place: its name, its distance, what it is, and a guide's ring folded below. */
export function PlanRow({
  row,
  shapes,
  open,
  onShapeKept,
}: {
  row: number;
  shapes: GuideShapes;
  /** it was chosen on the ribbon */
  open: boolean;
  onShapeKept: () => void;
}) {
  const { plan } = useBuild().history.present;
  const line = useRef<HTMLLIElement>(null);
  useEffect(() => {
    if (open) line.current?.scrollIntoView({ block: 'nearest' });
  }, [open]);
  const { id, at, guide } = plan.positions[row]!;
  return (
    <li ref={line} className={open ? 'plan-row plan-row-chosen' : 'plan-row'}>
      <PlaceName row={row} />
      <LengthField
        name={rowField(row, 'at')}
        label={planWords.atOf(id)}
        bare
        value={at}
        least={0}
        most={longestRod}
        set={(document, mm) => changeRow(row, (before) => ({ ...before, at: mm! }))(document)}
      />
      <PlaceKind row={row} />
      <RemovePlace row={row} />
      {guide && (
        <Fold
          key={open ? 'chosen' : 'row'}
          open={open}
          // guides are sold by millimetres everywhere
          title={planWords.guide(guide, (mm) => `${lengthInField(mm, 'mm')} mm`)}
        >
          <PlanGuide row={row} shapes={shapes} onShapeKept={onShapeKept} />
        </Fold>
      )}
    </li>
  );
}

/** Its name, and what is wrong with it. */
function PlaceName({ row }: { row: number }) {
  const { actions } = useApp();
  const { positions } = useBuild().history.present.plan;
  const { id } = positions[row]!;
  const twice = positions.some((other, i) => i !== row && other.id === id);
  return (
    <TextField
      label={planWords.nameOf(id)}
      bare
      value={id}
      why={id.trim() === '' ? planWords.needsName : twice ? planWords.sameName(id) : undefined}
      onChange={(name) =>
        actions.edit(
          changeWords.field(planWords.nameOf(id)),
          changeRow(row, (before) => ({ ...before, id: name })),
          rowField(row, 'id'),
        )
      }
    />
  );
}

/** What it is; what becomes a guide takes after the first one of the list. */
function PlaceKind({ row }: { row: number }) {
  const { actions } = useApp();
  const { plan } = useBuild().history.present;
  const { id, kind } = plan.positions[row]!;
  const setKind = (chosen: PositionKind) =>
    actions.edit(
      changeWords.field(planWords.kindOf(id)),
      changeRow(row, ({ guide: before, ...rest }) =>
        chosen === 'guide'
          ? { ...rest, kind: chosen, guide: before ?? plan.positions.find((p) => p.guide)?.guide ?? plainGuide }
          : { ...rest, kind: chosen },
      ),
    );
  return <ChoiceField label={planWords.kindOf(id)} bare value={kind} names={kindWords} onChange={setKind} />;
}

function RemovePlace({ row }: { row: number }) {
  const { actions } = useApp();
  const { id } = useBuild().history.present.plan.positions[row]!;
  const remove = () =>
    actions.edit(changeWords.removePlace(id), (document) =>
      arrange(
        document,
        [...document.plan.positions.keys()].filter((other) => other !== row),
      ),
    );
  return (
    <button
      type="button"
      className="quiet icon"
      aria-label={planWords.remove(id)}
      title={planWords.remove(id)}
      onClick={remove}
    >
      ×
    </button>
  );
}
