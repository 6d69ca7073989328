import { longestRod } from '../../plan/files/longest_rod.ts';
import { type GuideTrain, guidesOfTrain, startingTrains } from '../../plan/layouts/guide_trains.ts';
import {
  type KindPractice,
  type RodKind,
  rodKinds,
  usualPractice,
  usualReelPlace,
} from '../../plan/layouts/rod_kind.ts';
import { layOutUsual, suggestedFor, type UsualSpec } from '../../plan/layouts/usual_layout.ts';
import { formatLength } from '../../plan/lengths/length_text.ts';
import { roundPositions } from '../../plan/lengths/tape_reading.ts';
import { ChoiceField, LengthField, NumberField, useKeptChoice, useKeptValues } from '../fields/plan_fields.tsx';
import type { FoundPlace } from '../edits/plan_edits.ts';
import { useBuild } from '../session/app_context.tsx';
import { orWhy } from './or_why.ts';
import { planWords } from '../words/plan_words.ts';
import { roundingNames, useRounding } from './plan_growth.tsx';
import { UsePlaces } from './plan_use_places.tsx';

/** Where rods of a kind usually have their guides, with a whole set of guides as one choice. */
export function PlanUsual() {
  const { plan, lengths } = useBuild().history.present;
  const [kind, setKind] = useKeptChoice('usual.kind', rodKinds);
  const names = startingTrains.map(({ name }) => name);
  const ofKind = startingTrains.find((train) => train.kind === kind)!.name;
  const [set, setSet] = useKeptChoice(`usual.set.${kind}`, [ofKind, ...names]);
  const train = startingTrains.find(({ name }) => name === set)!;
  const [rounding, setRounding] = useRounding();
  const practice = usePractice(kind);
  const value = useKeptValues();
  const reelAt = value('usual.reelAt') ?? usualReelPlace(kind, plan.blank.length, plan.fittings);
  const spec: UsualSpec = { kind: 'usual', rod: kind, practice, ...(reelAt !== undefined && { reelAt }) };
  const ready = plan.blank.length > 0 && reelAt !== undefined;
  const { positions: _, ...rod } = plan;
  const laid = ready
    ? orWhy(() => {
        const guides = value('usual.guides') ?? suggestedFor(spec, rod).guides;
        const { at, notes } = layOutUsual(spec, guides, rod);
        return { notes, places: withShapes(rounding === 'none' ? at : roundPositions(at, rounding), train) };
      })
    : undefined;
  const length = (mm: number) => formatLength(mm, lengths, { denominator: 64 });
  return (
    <>
      <p className="hint">{planWords.usualHelp}</p>
      <ChoiceField label={planWords.usualKind} value={kind} names={planWords.usualKinds} onChange={setKind} />
      <ChoiceField
        label={planWords.usualSet}
        value={set}
        names={Object.fromEntries(names.map((name) => [name, name]))}
        onChange={setSet}
      />
      <RuleFields kind={kind} reelAt={reelAt} />
      <ChoiceField label={planWords.rounding} value={rounding} names={roundingNames} onChange={setRounding} />
      {!ready && <p>{plan.blank.length > 0 ? planWords.usualReel : planWords.usualLength}</p>}
      {laid && 'why' in laid && (
        <p className="field-why" role="status">
          {laid.why}
        </p>
      )}
      {laid && 'places' in laid && (
        <>
          {laid.notes.map((note) => (
            <p key={note}>{note}</p>
          ))}
          <ol className="places-found">
            {laid.places.map(({ at, guide }) => (
              <li key={at}>
                {length(at)} <span className="hint">{planWords.guide(guide!, (mm) => formatLength(mm, 'mm'))}</span>
              </li>
            ))}
          </ol>
          <UsePlaces places={laid.places} />
        </>
      )}
    </>
  );
}

/** The rule of this kind with what the builder has changed of it. */
function usePractice(kind: RodKind): KindPractice {
  const value = useKeptValues();
  const usual = usualPractice[kind];
  const kept = (key: keyof KindPractice) => value(`usual.${kind}.${key}`) ?? usual[key];
  return {
    guidesPerFoot: kept('guidesPerFoot'),
    guidesMore: kept('guidesMore'),
    firstGap: kept('firstGap'),
    lastShare: kept('lastShare'),
  };
}

function RuleFields({ kind, reelAt }: { kind: RodKind; reelAt: number | undefined }) {
  const usual = usualPractice[kind];
  const number = (key: keyof KindPractice, least: number, most: number) => (
    <NumberField
      name={`usual.${kind}.${key}`}
      label={planWords.usualRule[key]}
      value={usual[key]}
      least={least}
      most={most}
    />
  );
  return (
    <>
      <div className="field-pair">
        {number('guidesPerFoot', 0.1, 5)}
        {number('guidesMore', -5, 20)}
      </div>
      <div className="field-pair">
        <LengthField
          name={`usual.${kind}.firstGap`}
          label={planWords.usualRule.firstGap}
          value={usual.firstGap}
          least={10}
          most={1000}
        />
        {number('lastShare', 0.1, 0.95)}
      </div>
      <div className="field-pair">
        <LengthField
          name="usual.reelAt"
          label={planWords.usualReelAt}
          value={reelAt}
          least={100}
          most={longestRod}
          optional
        />
        <NumberField name="usual.guides" label={planWords.usualGuides} least={1} most={100} optional whole />
      </div>
    </>
  );
}

function withShapes(at: readonly number[], train: GuideTrain): FoundPlace[] {
  const guides = guidesOfTrain(train, at.length);
  return at.map((place, k) => ({ at: place, guide: guides[k]! }));
}
