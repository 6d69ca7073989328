import { openingOf } from '../../plan/plan.ts';
import { useState } from 'react';
import { cautionsFor } from '../../plan/findings/cautions.ts';
import type { LayoutResult } from '../../plan/layouts/layout.ts';
import type { LayoutSpec } from '../../plan/layouts/layout_spec.ts';
import { plainGuide } from '../../plan/layouts/starting_guides.ts';
import { longestRod } from '../../plan/files/longest_rod.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { type BendInput, bendSpec } from './plan_bend_input.ts';
import { useMaterial } from './plan_blank.tsx';
import { LoadFields, useLoads } from './plan_loads.tsx';
import { PlanBendResult } from './plan_bend_result.tsx';
import {
  ChoiceField,
  LengthField,
  NumberField,
  TextField,
  useKeptChoice,
  useKeptValues,
  ForceField,
} from '../fields/plan_fields.tsx';
import { roundingNames, useRounding } from './plan_growth.tsx';
import { withWritten } from '../edits/plan_edits.ts';
import { Fold } from '../kit/fold.tsx';
import { changeWords } from '../words/changes_words.ts';
import { planWords } from '../words/plan_words.ts';
import { problemWords } from '../words/problem_words.ts';

type Answer =
  | { kind: 'working' }
  | { kind: 'done'; asked: string; result: LayoutResult; found: boolean }
  | { kind: 'refused'; asked: string; why: string };

/** Guides set where the loaded rod needs them; the bending is worked out beside the page. */
export function PlanBend() {
  const { actions } = useApp();
  const { plan, written } = useBuild().history.present;
  const [what, setWhat] = useKeptChoice('bend.what', ['place', 'list']);
  const [stiffness, setStiffness] = useKeptChoice('bend.stiffness', ['modulus', 'hang']);
  const [side, setSide] = useKeptChoice('bend.side', ['top', 'underneath']);
  const [gaps, setGaps] = useKeptChoice('bend.gaps', ['grow', 'free']);
  const [material] = useMaterial();
  const [rounding, setRounding] = useRounding();
  const value = useKeptValues();
  const [answer, setAnswer] = useState<Answer>();
  const guides = plan.positions.filter((position) => position.kind === 'guide');
  const shares = written?.['bend.shares']?.text ?? '';
  const number = (name: string) => value(`bend.${name}`);
  const pairs = (name: string) =>
    [...Array(8).keys()].flatMap((i) => {
      const [at, other] = [number(`${name}.${i}.at`), number(`${name}.${i}.other`)];
      return at === undefined || other === undefined ? [] : [{ at, other }];
    });
  const like = guides[0]?.guide ? openingOf(guides[0].guide) : usualTipTop;
  const input: BendInput = {
    plan,
    what,
    guides: number('guides') ?? (guides.length || 7),
    stiffness,
    modulus: number('modulus'),
    wall: number('wall'),
    stations: pairs('station'),
    weight: number('weight'),
    drops: pairs('drop'),
    ...useLoads(),
    gaps,
    material,
    pullAngle: number('pullAngle') ?? 90,
    side,
    clampAt: number('clampAt'),
    reelAt: number('reelAt'),
    reelHeight: number('reelHeight') ?? 30,
    tipTop: { height: number('tipTop.height') ?? like.height, ringInner: number('tipTop.ringInner') ?? like.ringInner },
    first: number('first'),
    last: number('last'),
    shares,
    rounding,
  };
  const asked = JSON.stringify(input);
  const work = async () => {
    const spec = bendSpec(input, plainGuide);
    if ('why' in spec) return setAnswer({ kind: 'refused', asked, why: spec.why });
    setAnswer({ kind: 'working' });
    setAnswer(
      await actions.layOut(spec satisfies LayoutSpec).then(
        (result): Answer => ({ kind: 'done', asked, result, found: what === 'place' }),
        (error: unknown): Answer => ({
          kind: 'refused',
          asked,
          why:
            error instanceof Error && error.name === 'InputError'
              ? error.message
              : problemWords.unexpected(String(error)),
        }),
      ),
    );
  };
  const place = { least: 0, most: longestRod, optional: true };
  return (
    <>
      <p className="hint">{planWords.bendHelp}</p>
      <p className="hint">{planWords.bendNeeds}</p>
      <ChoiceField label={planWords.bendWhat} value={what} names={planWords.bendWhats} onChange={setWhat} />
      <div className="field-pair">
        {what === 'place' && (
          <NumberField name="bend.guides" label={planWords.guides} value={input.guides} least={1} most={100} whole />
        )}
        <ChoiceField label={planWords.side} value={side} names={planWords.sides} onChange={setSide} />
      </div>
      <ChoiceField
        label={planWords.stiffness}
        value={stiffness}
        names={planWords.stiffnessKinds}
        onChange={setStiffness}
      />
      {stiffness === 'modulus' ? (
        <>
          <div className="field-pair">
            <NumberField name="bend.modulus" label={planWords.modulus} least={0.1} most={1000} optional />
            <LengthField name="bend.wall" label={planWords.wall} least={0.05} most={50} optional />
          </div>
          <p className="hint">{planWords.modulusHelp}</p>
        </>
      ) : (
        <>
          <p className="hint">{planWords.hangHelp}</p>
          <ForceField
            name="bend.weight"
            label={planWords.weight}
            hint={planWords.forceHelp}
            least={0.1}
            most={200_000}
            optional
          />
          <PairFields name="bend.drop" first={planWords.dropAt} second={planWords.drop} most={longestRod} />
        </>
      )}
      <Fold title={planWords.stations}>
        <PairFields name="bend.station" first={planWords.stationAt} second={planWords.stationDiameter} most={100} />
      </Fold>
      <LoadFields />
      <div className="field-pair">
        <LengthField name="bend.clampAt" label={planWords.clampAt} {...place} />
        <LengthField name="bend.reelAt" label={planWords.reelAt} {...place} />
      </div>
      <LengthField name="bend.reelHeight" label={planWords.reelHeight} value={30} least={0} most={300} />
      <div className="field-pair">
        <LengthField
          name="bend.tipTop.height"
          label={planWords.tipTopHeight}
          value={input.tipTop.height}
          least={0}
          most={100}
        />
        <LengthField
          name="bend.tipTop.ringInner"
          label={planWords.tipTopInner}
          value={input.tipTop.ringInner}
          least={0.5}
          most={100}
        />
      </div>
      {what === 'place' && (
        <>
          <div className="field-pair">
            <LengthField name="bend.first" label={planWords.first} {...place} />
            <LengthField name="bend.last" label={planWords.lastFree} {...place} />
          </div>
          <TextField
            label={planWords.shares}
            value={shares}
            onChange={(text) =>
              actions.edit(
                changeWords.field(planWords.shares),
                (document) => withWritten(document, 'bend.shares', text === '' ? undefined : { text }),
                'bend.shares',
              )
            }
          />
          <ChoiceField label={planWords.gaps} value={gaps} names={planWords.gapsNames} onChange={setGaps} />
          <ChoiceField label={planWords.rounding} value={rounding} names={roundingNames} onChange={setRounding} />
        </>
      )}
      <div className="ways">
        <button type="button" className="primary" disabled={answer?.kind === 'working'} onClick={() => void work()}>
          {answer?.kind === 'working' ? planWords.working : planWords.work}
        </button>
      </div>
      <div role="status">
        {answer?.kind === 'refused' && answer.asked === asked && <p className="field-why">{answer.why}</p>}
        {answer?.kind === 'done' && answer.asked !== asked && <p className="hint">{planWords.bendStale}</p>}
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

/** Where the list has no guide to liken it to, mm; common practice, no source. */
const usualTipTop = { height: 6, ringInner: 4 };

/** Rows of two lengths, one more than are filled, up to eight. */
function PairFields({ name, first, second, most }: { name: string; first: string; second: string; most: number }) {
  const { written } = useBuild().history.present;
  const filled = [...Array(8).keys()].findLast((i) => written?.[`${name}.${i}.at`] ?? written?.[`${name}.${i}.other`]);
  const rows = Math.min(Math.max((filled ?? -1) + 2, 3), 8);
  return (
    <>
      {[...Array(rows).keys()].map((i) => (
        <div key={i} className="field-pair">
          <LengthField name={`${name}.${i}.at`} label={`${i + 1}: ${first}`} least={0} most={longestRod} optional />
          <LengthField name={`${name}.${i}.other`} label={second} least={0.1} most={most} optional />
        </div>
      ))}
    </>
  );
}
