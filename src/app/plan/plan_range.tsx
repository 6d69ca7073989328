import type { BendUnderLoad } from '../../plan/bend/load_range.ts';
import { planWords } from '../words/plan_words.ts';

/** The rod under each pull of the range: worst turn, stretch of the surface, and the line's clearance at each guide. */
export function PlanRange({
  range,
  ids,
  length,
}: {
  range: readonly BendUnderLoad[];
  /** the tip-top, then the guides from tip to butt */
  ids: readonly string[];
  length: (mm: number) => string;
}) {
  return (
    <div className="range-table">
      <table>
        <caption>{planWords.range}</caption>
        <thead>
          <tr>
            <th scope="col">{planWords.rangeFrom}</th>
            {range.map(({ name, load }) => (
              <th key={name} scope="col">
                {planWords.rangeNames[name]} <span className="hint">{load.tension.toFixed(1)} N</span>
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          <tr>
            <th scope="row">{planWords.rangeWorst}</th>
            {range.map(({ name, solved }) => (
              <td key={name}>
                {solved?.worst
                  ? `${solved.worst.turn.toFixed(1)}° ${ids[solved.worst.guide + 1]}`
                  : planWords.rangeNone}
              </td>
            ))}
          </tr>
          <tr>
            <th scope="row">{planWords.rangeStrain}</th>
            {range.map(({ name, solved }) => (
              <td key={name}>{solved ? `${(100 * solved.strain.most).toFixed(2)} %` : planWords.rangeNone}</td>
            ))}
          </tr>
          {ids.map((id, k) => (
            <tr key={id}>
              <th scope="row">{id}</th>
              {range.map(({ name, solved }) => (
                <td key={name}>{solved ? length(solved.pieces[k]!.clearance) : planWords.rangeNone}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
      {range.map(({ name, why }) => why !== undefined && <p key={name}>{why}</p>)}
    </div>
  );
}
