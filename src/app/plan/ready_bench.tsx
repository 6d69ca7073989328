import { cautions } from '../../plan/findings/cautions.ts';
import { tapeStrips, usualTape } from '../../plan/bench/tape_strips.ts';
import { tipTopTube } from '../../plan/bench/tip_top_tube.ts';
import { formatLength } from '../../plan/lengths/length_text.ts';
import { withWritten } from '../edits/plan_edits.ts';
import { NumberField, useKeptValues } from '../fields/plan_fields.tsx';
import { Fold } from '../kit/fold.tsx';
import { useApp, useBuild } from '../session/app_context.tsx';
import { benchWords } from '../words/bench_words.ts';
import { changeWords } from '../words/changes_words.ts';
import { PlanBag } from './plan_bag.tsx';

/**
 * What is done before the first mark: clean hands and blank, tape cut, guides counted. Ticks are kept with the build.
 */
export function ReadyBench() {
  const { plan } = useBuild().history.present;
  if (!(plan.blank.length > 0) || !plan.positions.some(({ guide }) => guide)) return null;
  return (
    <section aria-label={benchWords.ready} className="fields screen-only">
      <h2>{benchWords.ready}</h2>
      <Tick name="bench.clean" label={benchWords.clean} />
      <p className="hint">
        {benchWords.cleanHelp} {cautions.solvent}
      </p>
      <Tick name="bench.tape" label={benchWords.tape} />
      <Strips />
      <h3>{benchWords.guides}</h3>
      <PlanBag />
      <Tube />
    </section>
  );
}

function Tick({ name, label }: { name: string; label: string }) {
  const { actions } = useApp();
  const { written } = useBuild().history.present;
  const ticked = written?.[name] !== undefined;
  return (
    <label className="tick">
      <input
        type="checkbox"
        checked={ticked}
        onChange={() =>
          actions.edit(changeWords.field(label), (document) =>
            withWritten(document, name, ticked ? undefined : { text: 'done' }),
          )
        }
      />
      <span>{label}</span>
    </label>
  );
}

const whole = (mm: number) => formatLength(mm, 'mm', { mmDecimals: 0 });

function Strips() {
  const { plan } = useBuild().history.present;
  const value = useKeptValues();
  const strips = tapeStrips(plan, {
    ...usualTape,
    footShare: value('tape.share') ?? usualTape.footShare,
    turns: value('tape.turns') ?? usualTape.turns,
  });
  return (
    <>
      <ul className="notes">
        {strips.map(({ width, length, count, ids }) => (
          <li key={width}>
            <strong>{benchWords.strip(count, whole(width), whole(length))}</strong> {benchWords.stripFor(ids)}
          </li>
        ))}
      </ul>
      <Fold title={benchWords.tapeHow}>
        <p className="hint">{benchWords.tapeHelp}</p>
        <NumberField name="tape.share" label={benchWords.tapeShare} value={usualTape.footShare} least={0.1} most={1} />
        <NumberField name="tape.turns" label={benchWords.tapeTurns} value={usualTape.turns} least={1} most={5} />
      </Fold>
    </>
  );
}

/** A tube of middling length, mm, where the tip-top is not described; common practice, no source. */
const usualTube = 8;

function Tube() {
  const { plan } = useBuild().history.present;
  const { blank, section, tipTop } = plan;
  if (!(blank.tipDiameter > 0 && blank.buttDiameter > 0) || (section && section.startsAt > 0)) return null;
  const { tenths, sixtyFourths } = tipTopTube(plan, tipTop?.tubeLength ?? usualTube);
  return <p>{benchWords.tube(formatLength(tenths, 'mm'), `${sixtyFourths}/64`)}</p>;
}
