import type { SnakeGuide } from '../../plan/plan.ts';
import { useBuild } from '../session/app_context.tsx';
import { changeRow, rowField } from '../edits/plan_edits.ts';
import { LengthField } from '../fields/plan_fields.tsx';
import { planWords } from '../words/plan_words.ts';

/** What a snake guide may measure, mm, as in a plan's file. */
const limits = {
  length: { least: 3, most: 100 },
  height: { least: 1, most: 50 },
  wire: { least: 0.2, most: 5 },
} as const;

/** A snake guide's three measures. */
export function PlanSnake({ row }: { row: number }) {
  const { guide } = useBuild().history.present.plan.positions[row]!;
  if (guide?.type !== 'snake') return null;
  const labels = { length: planWords.snakeLength, height: planWords.snakeHeight, wire: planWords.snakeWire };
  const field = (key: keyof typeof limits) => (
    <LengthField
      name={rowField(row, `guide.${key}`)}
      label={labels[key]}
      value={guide[key]}
      {...limits[key]}
      set={(document, mm) =>
        changeRow(row, (before) => ({ ...before, guide: { ...(before.guide as SnakeGuide), [key]: mm! } }))(document)
      }
    />
  );
  return (
    <>
      {field('length')}
      <div className="field-pair">
        {field('height')}
        {field('wire')}
      </div>
      {guide.height <= 2 * guide.wire && <p className="field-why">{planWords.snakeTooLow}</p>}
    </>
  );
}
