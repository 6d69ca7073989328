import { longestRod } from '../../plan/files/longest_rod.ts';
import { useApp, useBuild } from '../session/app_context.tsx';
import { withWritten } from '../edits/plan_edits.ts';
import { ChoiceField, ForceField, LengthField, NumberField, TextField } from '../fields/plan_fields.tsx';
import { Fold } from '../kit/fold.tsx';
import { changeWords } from '../words/changes_words.ts';
import { planWords } from '../words/plan_words.ts';
import { type BendInput, forceLimits, usualBend } from './plan_bend_input.ts';
import { roundingNames, useRounding } from './plan_growth.tsx';
import { mostPairs, useBendGaps, useBendSide, useBendStiffness, useBendWhat } from './use_bend_work.ts';

/** A place along the rod that may be left open. */
const place = { least: 0, most: longestRod, optional: true };

/** Whether places are found or the list's are bent; on which side the guides stand. */
export function BendWhat({ guides }: { guides: number }) {
  const [what, setWhat] = useBendWhat();
  const [side, setSide] = useBendSide();
  return (
    <>
      <ChoiceField label={planWords.bendWhat} value={what} names={planWords.bendWhats} onChange={setWhat} />
      <div className="field-pair">
        {what === 'place' && (
          <NumberField name="bend.guides" label={planWords.guides} value={guides} least={1} most={100} whole />
        )}
        <ChoiceField label={planWords.side} value={side} names={planWords.sides} onChange={setSide} />
      </div>
    </>
  );
}

/** What tells how stiff the blank is: its modulus and wall, or a weight hung on it; diameters between its ends. */
export function BendStiffness() {
  const [stiffness, setStiffness] = useBendStiffness();
  return (
    <>
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
          <ForceField name="bend.weight" label={planWords.weight} hint={planWords.forceHelp} {...forceLimits} />
          <PairFields name="bend.drop" first={planWords.dropAt} second={planWords.drop} most={longestRod} />
        </>
      )}
      <Fold title={planWords.stations}>
        <PairFields name="bend.station" first={planWords.stationAt} second={planWords.stationDiameter} most={100} />
      </Fold>
    </>
  );
}

/** Where the rod is held, and where the line leaves the reel. */
export function BendReel() {
  return (
    <>
      <div className="field-pair">
        <LengthField name="bend.clampAt" label={planWords.clampAt} {...place} />
        <LengthField name="bend.reelAt" label={planWords.reelAt} {...place} />
      </div>
      <LengthField
        name="bend.reelHeight"
        label={planWords.reelHeight}
        value={usualBend.reelHeight}
        least={0}
        most={300}
      />
    </>
  );
}

/** How high the line stands at the tip. */
export function BendTipTop({ tipTop: { height, ringInner } }: Pick<BendInput, 'tipTop'>) {
  return (
    <div className="field-pair">
      <LengthField name="bend.tipTop.height" label={planWords.tipTopHeight} value={height} least={0} most={100} />
      <LengthField
        name="bend.tipTop.ringInner"
        label={planWords.tipTopInner}
        value={ringInner}
        least={0.5}
        most={100}
      />
    </div>
  );
}

/** What the places found are bound to. */
export function BendPlaces({ shares }: Pick<BendInput, 'shares'>) {
  const { actions } = useApp();
  const [gaps, setGaps] = useBendGaps();
  const [rounding, setRounding] = useRounding();
  return (
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
  );
}

/** Rows of two lengths, one more than are filled. */
function PairFields({ name, first, second, most }: { name: string; first: string; second: string; most: number }) {
  const { written } = useBuild().history.present;
  const filled = [...Array(mostPairs).keys()].findLast(
    (i) => written?.[`${name}.${i}.at`] ?? written?.[`${name}.${i}.other`],
  );
  const rows = Math.min(Math.max((filled ?? -1) + 2, 3), mostPairs);
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
