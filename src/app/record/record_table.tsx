import { guidesAreOn } from '../../plan/shoot.ts';
import { formatLength, type LengthDisplay } from '../../plan/lengths/length_text.ts';
import type { Measured, Report, ReportItem } from '../../verdict/report.ts';
import { stateText, tipTopState } from '../../verdict/report_table.ts';
import { capitalized, degreesDoubt, differenceText, doubtDigits, plannedText } from '../../verdict/wording.ts';
import { recordWords } from '../words/record_words.ts';

/** Every place with what was found and how sure it is. */
export function RecordTable({ report, lengths }: { report: Report; lengths: LengthDisplay }) {
  const rings = guidesAreOn(report.stage);
  const { columns } = recordWords;
  const unit = lengths === 'mm' ? 'mm' : 'in';
  const measured = (value: Measured | undefined) =>
    value ? `${formatLength(value.value, unit)} ± ${doubtDigits(value.expanded, lengths)}` : '–';
  const off = ({ along, planned }: ReportItem) => {
    if (!along) return '–';
    const difference = along.value - planned;
    const text = differenceText(difference, lengths);
    return Number.parseFloat(text) === 0 ? text : recordWords.towards(text, difference > 0);
  };
  const roll = (value: Measured | undefined) => {
    if (!value) return '–';
    const degrees = Math.abs(value.value).toFixed(1);
    const turn = Number(degrees) === 0 ? '' : value.value < 0 ? ' ↺' : ' ↻';
    return `${degrees}°${turn} ± ${degreesDoubt(value.expanded)}`;
  };
  return (
    <>
      {/* oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- what scrolls must be reachable by keyboard */}
      <div className="record-table" role="region" aria-label={recordWords.table} tabIndex={0}>
        <table>
          <thead>
            <tr>
              <th scope="col">{columns.place}</th>
              <th scope="col">{columns.planned}</th>
              <th scope="col">{columns.found}</th>
              <th scope="col">{columns.off}</th>
              {rings && <th scope="col">{columns.roll}</th>}
              {rings && <th scope="col">{columns.ring}</th>}
              <th scope="col">{columns.verdict}</th>
            </tr>
          </thead>
          <tbody>
            {report.items.map((item) => (
              <tr key={item.id}>
                <th scope="row">{item.id}</th>
                <td>{plannedText(item.planned, lengths)}</td>
                <td>{measured(item.along)}</td>
                <td>{off(item)}</td>
                {rings && <td>{roll(item.roll)}</td>}
                {rings && <td>{measured(item.ringOuter)}</td>}
                <td>{capitalized(stateText(item))}</td>
              </tr>
            ))}
            {report.tipTop && (
              <tr>
                <th scope="row">{recordWords.tipTop}</th>
                <td>–</td>
                <td>–</td>
                <td>–</td>
                <td>{roll(report.tipTop.roll)}</td>
                <td>–</td>
                <td>{capitalized(tipTopState(report.tipTop))}</td>
              </tr>
            )}
          </tbody>
        </table>
      </div>
      <p className="hint">{recordWords.meaning}</p>
    </>
  );
}
