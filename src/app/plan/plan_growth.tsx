import { type GrowthLayout, layOutByGrowth } from '../../plan/layouts/growth_layout.ts';
import { formatLength } from '../../plan/lengths/length_text.ts';
import { longestRod } from '../../plan/files/longest_rod.ts';
import { roundPositions, type TapeDivision, tapeDivisions } from '../../plan/lengths/tape_reading.ts';
import { useBuild } from '../session/app_context.tsx';
import { ChoiceField, LengthField, NumberField, useKeptChoice, useKeptValues } from '../fields/plan_fields.tsx';
import { UsePlaces } from './plan_use_places.tsx';
import { orWhy } from './or_why.ts';
import { planWords } from '../words/plan_words.ts';

const kinds = ['arithmetic', 'geometric'] as const;

/** Rounding asked for, or none; shared by every way of working places out. */
export function useRounding(): [TapeDivision | 'none', (value: TapeDivision | 'none') => void] {
  return useKeptChoice('layout.rounding', ['none', ...tapeDivisions]);
}

export const roundingNames = {
  none: planWords.roundingNone,
  ...(Object.fromEntries(tapeDivisions.map((division) => [division, division])) as Record<TapeDivision, string>),
};

/** Guides whose gaps grow evenly, worked out while the numbers are typed. */
export function PlanGrowth() {
  const [growth, setGrowth] = useKeptChoice('growth.kind', kinds);
  const [rounding, setRounding] = useRounding();
  const { guides, solved } = useGrowthLayout(growth, rounding);
  return (
    <>
      <p className="hint">{planWords.growthHelp}</p>
      <div className="field-pair">
        <NumberField name="growth.guides" label={planWords.guides} value={guides} least={1} most={100} whole />
        <ChoiceField label={planWords.growthKind} value={growth} names={planWords.growthKinds} onChange={setGrowth} />
      </div>
      <div className="field-pair">
        <LengthField name="growth.firstGap" label={planWords.firstGap} least={1} most={longestRod} optional />
        <LengthField name="growth.last" label={planWords.last} least={1} most={longestRod} optional />
      </div>
      <div className="field-pair">
        {growth === 'arithmetic' ? (
          <LengthField name="growth.step" label={planWords.step} least={-1000} most={1000} optional />
        ) : (
          <NumberField name="growth.ratio" label={planWords.ratio} least={0.1} most={10} optional />
        )}
        <LengthField name="growth.start" label={planWords.start} least={0} most={longestRod} optional />
      </div>
      <ChoiceField label={planWords.rounding} value={rounding} names={roundingNames} onChange={setRounding} />
      {solved && 'why' in solved && (
        <p className="field-why" role="status">
          {solved.why}
        </p>
      )}
      {solved && 'layout' in solved && <GrowthFound growth={growth} layout={solved.layout} />}
    </>
  );
}

type Growth = (typeof kinds)[number];

/** The layout as soon as enough is filled in. */
function useGrowthLayout(growth: Growth, rounding: TapeDivision | 'none') {
  const { plan } = useBuild().history.present;
  const value = useKeptValues();
  const inPlan = plan.positions.filter((position) => position.kind === 'guide').length;
  const guides = value('growth.guides') ?? (inPlan || 7);
  const given = {
    start: value('growth.start'),
    firstGap: value('growth.firstGap'),
    last: value('growth.last'),
    ...(growth === 'arithmetic' ? { step: value('growth.step') } : { ratio: value('growth.ratio') }),
  };
  const fields = Object.fromEntries(Object.entries(given).filter(([, mm]) => mm !== undefined));
  const ready = Object.keys(fields).filter((name) => name !== 'start').length >= 2;
  const solved = ready ? orWhy(() => ({ layout: layOutByGrowth({ growth, guides, ...fields }) })) : undefined;
  if (!solved || 'why' in solved || rounding === 'none') return { guides, solved };
  return {
    guides,
    solved: orWhy(() => ({ layout: { ...solved.layout, at: roundPositions(solved.layout.at, rounding) } })),
  };
}

/** First gap, growth and places, and the way into the plan. */
function GrowthFound({ growth, layout }: { growth: Growth; layout: GrowthLayout }) {
  const { lengths } = useBuild().history.present;
  const length = (mm: number) => formatLength(mm, lengths, { denominator: 64 });
  return (
    <>
      <p>
        {planWords.growthSolved(
          length(layout.firstGap),
          growth === 'arithmetic'
            ? planWords.growthBy(length(layout.growth))
            : planWords.growthTimes(layout.growth.toFixed(3)),
        )}
      </p>
      <ol className="places-found">
        {layout.at.map((at) => (
          <li key={at}>{length(at)}</li>
        ))}
      </ol>
      <UsePlaces places={layout.at.map((at) => ({ at }))} />
    </>
  );
}
