import { cautionsFor } from '../../plan/findings/cautions.ts';
import { planWords } from '../words/plan_words.ts';
import { BendPlaces, BendReel, BendStiffness, BendTipTop, BendWhat } from './plan_bend_fields.tsx';
import { PlanBendResult } from './plan_bend_result.tsx';
import { LoadFields } from './plan_loads.tsx';
import { useBendInput, useBendWork } from './use_bend_work.ts';

/** Guides set where the loaded rod needs them; the bending is worked out beside the page. */
export function PlanBend() {
  const input = useBendInput();
  const { answer, work } = useBendWork(input);
  const working = answer?.kind === 'working';
  return (
    <>
      <p className="hint">{planWords.bendHelp}</p>
      <p className="hint">{planWords.bendNeeds}</p>
      <BendWhat guides={input.guides} />
      <BendStiffness />
      <LoadFields />
      <BendReel />
      <BendTipTop tipTop={input.tipTop} />
      {input.what === 'place' && <BendPlaces shares={input.shares} />}
      <div className="ways">
        <button type="button" className="primary" disabled={working} onClick={() => void work()}>
          {working ? planWords.working : planWords.work}
        </button>
      </div>
      <div role="status">
        {answer?.kind === 'refused' && !answer.stale && <p className="field-why">{answer.why}</p>}
        {answer?.kind === 'done' && answer.stale && <p className="hint">{planWords.bendStale}</p>}
      </div>
      {answer?.kind === 'done' && <PlanBendResult result={answer.result} found={answer.found} />}
      <ul className="notes">
        {cautionsFor(['load-rod']).map((caution) => (
          <li key={caution}>{caution}</li>
        ))}
      </ul>
    </>
  );
}
