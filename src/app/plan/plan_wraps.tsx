import { usualWraps, type WrapPractice } from '../../plan/foot.ts';
import { LengthField, useKeptValues } from '../fields/plan_fields.tsx';
import { planWords } from '../words/plan_words.ts';

/** How the builder lays wraps, the usual way where nothing else was said. */
export function useWrapPractice(): WrapPractice {
  const value = useKeptValues();
  const [underwrap, trimBand, trimGap] = (['underwrap', 'trimBand', 'trimGap'] as const).map((key) =>
    value(`wraps.${key}`),
  );
  return {
    threadDiameter: value('wraps.threadDiameter') ?? usualWraps.threadDiameter,
    beyondFoot: value('wraps.beyondFoot') ?? usualWraps.beyondFoot,
    keeperLength: value('wraps.keeperLength') ?? usualWraps.keeperLength,
    ...(underwrap !== undefined && { underwrap }),
    ...(trimBand !== undefined && { trimBand }),
    ...(trimGap !== undefined && { trimGap }),
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
      <LengthField name="wraps.underwrap" label={planWords.underwrap} least={0} most={50} optional />
      <LengthField name="wraps.trimBand" label={planWords.trimBand} least={0.1} most={50} optional />
      <LengthField name="wraps.trimGap" label={planWords.trimGap} least={0} most={50} optional />
    </>
  );
}
