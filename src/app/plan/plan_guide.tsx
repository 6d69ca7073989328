import { plainGuide, plainSnake } from '../../plan/layouts/starting_guides.ts';
import type { Guide } from '../../plan/plan.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { changeRow, rowField, withoutRowTexts } from '../edits/plan_edits.ts';
import { ChoiceField, NumberField } from '../fields/plan_fields.tsx';
import { PlanRing } from './plan_ring.tsx';
import { PlanSnake } from './plan_snake.tsx';
import type { GuideShapes } from './use_guide_shapes.ts';
import { changeWords } from '../words/changes_words.ts';
import { planWords } from '../words/plan_words.ts';

const plain = { ring: plainGuide, snake: plainSnake };

/** A guide: what it is, its shape, and how it is to be turned. */
export function PlanGuide({ row, shapes, onShapeKept }: { row: number; shapes: GuideShapes; onShapeKept: () => void }) {
  const { actions } = useApp();
  const { plan } = useBuild().history.present;
  const { id, guide } = plan.positions[row]!;
  if (!guide) return null;
  const type = guide.type ?? 'ring';
  const setType = (chosen: keyof typeof plain) => {
    if (chosen === type) return;
    const like = plan.positions.find((position) => position.guide && (position.guide.type ?? 'ring') === chosen)?.guide;
    const { roll: _, ...shape } = like ?? plain[chosen];
    actions.edit(changeWords.shape(id), (document) =>
      withoutRowTexts(changeRow(row, (before) => ({ ...before, guide: shape as Guide }))(document), row),
    );
  };
  return (
    <>
      <ChoiceField label={planWords.guideType} value={type} names={planWords.guideTypes} onChange={setType} />
      {type === 'snake' ? <PlanSnake row={row} /> : <PlanRing row={row} shapes={shapes} onShapeKept={onShapeKept} />}
      <NumberField
        name={rowField(row, 'guide.roll')}
        label={planWords.plannedRoll}
        hint={planWords.plannedRollHelp}
        value={guide.roll}
        least={-180}
        most={180}
        optional
        set={(document, roll) =>
          changeRow(row, (before) => {
            const { roll: _, ...rest } = before.guide!;
            return { ...before, guide: (roll ? { ...rest, roll } : rest) as Guide };
          })(document)
        }
      />
    </>
  );
}
