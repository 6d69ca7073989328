import { answerBalance } from '../../plan/bench/balance.ts';
import { longestRod } from '../../plan/files/longest_rod.ts';
import { formatLength } from '../../plan/lengths/length_text.ts';
import { ForceField, LengthField, useKeptValues } from '../fields/plan_fields.tsx';
import { useBuild } from '../session/app_context.tsx';
import { benchWords } from '../words/bench_words.ts';

/** Where the rod hangs level with its reel on, and where the seat must go for a balance point of one's choice. */
export function PlanBalance() {
  const { lengths } = useBuild().history.present;
  const value = useKeptValues();
  const length = (mm: number) => formatLength(mm, lengths, { mmDecimals: 0, denominator: 16 });
  const [rod, at, reel] = (['rod', 'rodAt', 'reel'] as const).map((key) => value(`balance.${key}`));
  const reelAt = value('balance.reelAt');
  const ahead = value('balance.ahead');
  const answer =
    rod === undefined || at === undefined || reel === undefined
      ? undefined
      : answerBalance({
          parts: [{ name: benchWords.balanceRod, grams: rod, at }],
          reel: { grams: reel, ...(reelAt !== undefined && { at: reelAt }) },
          ...(ahead !== undefined && { ahead }),
        });
  return (
    <>
      <p className="hint">{benchWords.balanceHelp}</p>
      <div className="field-pair">
        <ForceField name="balance.rod" label={benchWords.balanceRod} least={0.1} most={5000} optional />
        <LengthField name="balance.rodAt" label={benchWords.balanceRodAt} least={0} most={longestRod} optional />
      </div>
      <div className="field-pair">
        <ForceField name="balance.reel" label={benchWords.balanceReel} least={0.1} most={5000} optional />
        <LengthField name="balance.reelAt" label={benchWords.balanceReelAt} least={0} most={longestRod} optional />
      </div>
      <LengthField name="balance.ahead" label={benchWords.balanceAhead} least={-500} most={1000} optional />
      {answer?.point !== undefined && <p>{benchWords.balancePoint(length(answer.point))}</p>}
      {answer?.seat !== undefined && <p>{benchWords.balanceSeat(length(answer.seat))}</p>}
    </>
  );
}
