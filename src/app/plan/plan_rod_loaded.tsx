import { useEffect, useState } from 'react';
import { formatLength } from '../../plan/lengths/length_text.ts';
import type { LayoutResult } from '../../plan/layouts/layout.ts';
import type { LayoutSpec } from '../../plan/layouts/wanted_layout.ts';
import { plainGuide } from '../../plan/layouts/starting_guides.ts';
import { Fold } from '../kit/fold.tsx';
import { useApp, useBuild } from '../session/app_context.tsx';
import { planWords } from '../words/plan_words.ts';
import { PlanBendDrawing } from './plan_bend_drawing.tsx';
import { bendSpec } from './plan_bend_input.ts';
import { refusal, useBendInput } from './use_bend_work.ts';

/** ms without a change before the rod is bent anew: a dragged guide changes the plan at every move */
const settled = 250;

/** The rod under load, with the guides where the list has them; only where the bend's fields are filled. */
export function PlanRodLoaded() {
  const spec = bendSpec({ ...useBendInput(), what: 'list' }, plainGuide);
  if ('why' in spec) return null;
  return (
    <Fold title={planWords.loaded}>
      <Loaded spec={spec} />
    </Fold>
  );
}

function Loaded({ spec }: { spec: LayoutSpec }) {
  const { lengths } = useBuild().history.present;
  const answer = useBent(spec);
  if (answer?.kind === 'refused') return <p className="field-why">{answer.why}</p>;
  const bend = answer?.result.bend;
  if (!answer || !bend) return <p className="hint">{planWords.working}</p>;
  const { tension, pullAngle } = bend.bendCase.load;
  const down = formatLength(-bend.bend.points[0]!.y, lengths, { mmDecimals: 0, inchDecimals: 1, denominator: 16 });
  return (
    <>
      <PlanBendDrawing bend={bend.bend} plan={answer.result.plan} />
      <p>{planWords.bendSays(tension.toFixed(1), pullAngle.toFixed(0), down)}</p>
      <p className="hint">{planWords.loadedHelp}</p>
    </>
  );
}

type Bent = { kind: 'bent'; result: LayoutResult } | { kind: 'refused'; why: string };

/** The rod bent in the worker, anew when what is asked has changed and settled; the last answer stands until then. */
function useBent(spec: LayoutSpec): Bent | undefined {
  const { actions } = useApp();
  const [answer, setAnswer] = useState<Bent>();
  const asked = JSON.stringify(spec);
  useEffect(() => {
    let overtaken = false;
    const work = async () => {
      const next = await actions.layOut(JSON.parse(asked) as LayoutSpec).then(
        (result): Bent => ({ kind: 'bent', result }),
        (error: unknown): Bent => ({ kind: 'refused', why: refusal(error) }),
      );
      if (!overtaken) setAnswer(next);
    };
    const timer = setTimeout(() => void work(), settled);
    return () => {
      overtaken = true;
      clearTimeout(timer);
    };
  }, [asked, actions]);
  return answer;
}
