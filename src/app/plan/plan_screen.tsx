import { Fold } from '../kit/fold.tsx';
import { PlanBend } from './plan_bend.tsx';
import { PlanBlank } from './plan_blank.tsx';
import { PlanCone } from './plan_cone.tsx';
import { PlanFindings } from './plan_findings_view.tsx';
import { PlanGrowth } from './plan_growth.tsx';
import { PlanMarks } from './plan_marks.tsx';
import { PlanPaste } from './plan_paste.tsx';
import { PlanRodDrawing } from './plan_rod_drawing.tsx';
import { PlanRows } from './plan_rows.tsx';
import { PlanShapes } from './plan_shapes.tsx';
import { PlanSpiral } from './plan_spiral.tsx';
import { PlanUsual } from './plan_usual.tsx';
import { PlanBalance } from './plan_balance.tsx';
import { ReadyBench } from './ready_bench.tsx';
import { usePlace } from '../route/use_place.ts';
import { benchWords } from '../words/bench_words.ts';
import { planWords } from '../words/plan_words.ts';

/**
 * The plan step: the blank, where each guide goes and the ways to find that out; what speaks against it; the mark list.
 */
export function PlanScreen() {
  const place = usePlace();
  const chosen = place.screen === 'build' ? place.item : undefined;
  return (
    <div className="plan-columns">
      <div className="plan-entry screen-only">
        <PlanBlank />
        <PlanRodDrawing />
        <PlanRows chosen={chosen} />
        <section aria-label={planWords.otherWays} className="fields">
          <h2>{planWords.otherWays}</h2>
          <Fold title={planWords.paste}>
            <PlanPaste />
          </Fold>
          <Fold title={planWords.usual}>
            <PlanUsual />
          </Fold>
          <Fold title={planWords.growth}>
            <PlanGrowth />
          </Fold>
          <Fold title={planWords.bend}>
            <PlanBend />
          </Fold>
          <Fold title={planWords.spiral}>
            <PlanSpiral />
          </Fold>
          <Fold title={planWords.cone}>
            <PlanCone />
          </Fold>
          <Fold title={benchWords.balance}>
            <PlanBalance />
          </Fold>
          <Fold title={planWords.shapes}>
            <PlanShapes />
          </Fold>
        </section>
      </div>
      <div className="plan-outcome">
        <div className="screen-only">
          <PlanFindings />
        </div>
        <ReadyBench />
        <PlanMarks />
      </div>
    </div>
  );
}
