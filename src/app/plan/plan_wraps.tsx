import { usualWraps, type WrapPractice } from '../../plan/foot.ts';
import { LengthField, useKeptValues } from '../fields/plan_fields.tsx';
import { planWords } from '../words/plan_words.ts';

/** How the builder lays wraps, the usual way where nothing else was said. */
export function useWrapPractice(): WrapPractice {
  const value = useKeptValues();
  return {
    threadDiameter: value('wraps.threadDiameter') ?? usualWraps.threadDiameter,
    beyondFoot: value('wraps.beyondFoot') ?? usualWraps.beyondFoot,
    keeperLength: value('wraps.keeperLength') ?? usualWraps.keeperLength,
  };
}

export function WrapFields() {
  return (
    <>
      <LengthField
        name="wraps.threadDiameter"
        label={planWords.threadSize}
        value={usualWraps.threadDiameter}
        least={0.02}
        most={2}
      />
      <LengthField
        name="wraps.beyondFoot"
        label={planWords.beyondFoot}
        value={usualWraps.beyondFoot}
        least={0}
        most={50}
      />
      <LengthField
        name="wraps.keeperLength"
        label={planWords.keeperLength}
        value={usualWraps.keeperLength}
        least={1}
        most={100}
      />
    </>
  );
}
