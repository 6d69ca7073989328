import type { LayoutResult } from '../../plan/layouts/layout.ts';
import { formatLength } from '../../plan/lengths/length_text.ts';
import { linePieces } from '../../plan/bend/line_run.ts';
import { useBuild } from '../session/app_context.tsx';
import { FindingList } from './plan_findings_view.tsx';
import { PlanBendDrawing } from './plan_bend_drawing.tsx';
import { PlanRange } from './plan_range.tsx';
import { UsePlaces } from './plan_use_places.tsx';
import { planWords } from '../words/plan_words.ts';

/** The bent rod, the places found on it, and what speaks against them. */
export function PlanBendResult({ result, found }: { result: LayoutResult; found: boolean }) {
  const { lengths } = useBuild().history.present;
  if (!result.bend) return null;
  const { bend, bendCase, fitted, range } = result.bend;
  const guides = result.plan.positions.filter((position) => position.kind === 'guide');
  const ids = [planWords.tipTop, ...guides.map(({ id }) => id)];
  const pieces = linePieces(bendCase, bend);
  const length = (mm: number) => formatLength(mm, lengths, { mmDecimals: 1, inchDecimals: 2, denominator: 32 });
  const bendFindings = result.findings.filter(
    (finding) => finding.rule.startsWith('line-') || finding.rule === 'overload' || finding.rule === 'hang-test',
  );
  return (
    <>
      <PlanBendDrawing bend={bend} plan={result.plan} />
      <p>
        {planWords.bendSays(
          bendCase.load.tension.toFixed(1),
          bendCase.load.pullAngle.toFixed(0),
          length(-bend.points[0]!.y),
        )}
        {fitted &&
          ` ${planWords.hangFit(
            fitted.exponent.toFixed(2),
            (2 * fitted.exponentUncertainty).toFixed(2),
            length(Math.max(...fitted.residuals.map(Math.abs))),
          )}`}
      </p>
      {result.notes.length > 0 && (
        <ul className="notes">
          {result.notes.map((note) => (
            <li key={note}>{note}</li>
          ))}
        </ul>
      )}
      <ol className="rows">
        {bend.turns.map((turn, k) => (
          <li key={ids[k]} className="row">
            <strong className="item-id">{ids[k]}</strong>
            {k > 0 && <span>{length(guides[k - 1]!.at)}</span>}
            <span>{planWords.bendTurn(turn.toFixed(1))}</span>
            <span className="hint">{planWords.bendKeeps(length(pieces[k]!.clearance))}</span>
          </li>
        ))}
      </ol>
      <PlanRange range={range} ids={ids} length={length} />
      <FindingList findings={bendFindings} />
      {found && <UsePlaces places={guides.map(({ at }) => ({ at }))} />}
    </>
  );
}
