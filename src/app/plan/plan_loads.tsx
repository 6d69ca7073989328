import { usualRange } from '../../plan/bend/load_range.ts';
import { ForceField, NumberField, useKeptValues } from '../fields/plan_fields.tsx';
import { forceLimits, usualBend } from './plan_bend_input.ts';
import { planWords } from '../words/plan_words.ts';

/** The pulls in grams as they are written; the ends of the range follow the working pull until they are. */
export function useLoads(): { load: number | undefined; light: number | undefined; heavy: number | undefined } {
  const value = useKeptValues();
  const load = value('bend.load');
  const part = (share: number) => (load === undefined ? undefined : share * load);
  return {
    load,
    light: value('bend.light') ?? part(usualRange.light),
    heavy: value('bend.heavy') ?? part(usualRange.heavy),
  };
}

export function LoadFields() {
  const { light, heavy } = useLoads();
  return (
    <>
      <div className="field-pair">
        <ForceField name="bend.load" label={planWords.load} hint={planWords.forceHelp} {...forceLimits} />
        <NumberField
          name="bend.pullAngle"
          label={planWords.pullAngle}
          value={usualBend.pullAngle}
          least={10}
          most={175}
        />
      </div>
      <div className="field-pair">
        <ForceField name="bend.light" label={planWords.loadLight} value={light} {...forceLimits} />
        <ForceField name="bend.heavy" label={planWords.loadHeavy} value={heavy} {...forceLimits} />
      </div>
      <p className="hint">{planWords.loadsHelp}</p>
    </>
  );
}
