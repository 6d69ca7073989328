import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import { blankRows } from '../../verdict/blank_table.ts';
import type { ReportBlank } from '../../verdict/report.ts';
import { Fold } from '../kit/fold.tsx';
import { blankWords } from '../words/blank_words.ts';
import { BlankDrawing } from './blank_drawing.tsx';

/** The measured blank: drawn, and every place with diameter and bow. */
export function BlankView({ blank, display }: { blank: ReportBlank; display: LengthDisplay }) {
  return (
    <section aria-label={blankWords.drawing}>
      <h2>{blankWords.drawing}</h2>
      <BlankDrawing blank={blank} display={display} />
      <Fold title={blankWords.table}>
        <RowsTable name={blankWords.tableWindow} rows={blankRows(blank, display)} />
        <p className="hint">{blankWords.tableHelp}</p>
      </Fold>
    </section>
  );
}

/** Rows of which the first is the heading; what is wider than the screen scrolls, by keyboard as well. */
export function RowsTable({ name, rows: [heading = [], ...rows] }: { name: string; rows: readonly string[][] }) {
  return (
    // oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- what scrolls must be reachable by keyboard
    <div className="blank-table" role="region" aria-label={name} tabIndex={0}>
      <table className="comparison">
        <thead>
          <tr>
            {heading.map((cell) => (
              <th key={cell} scope="col">
                {cell}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map(([place, ...cells]) => (
            <tr key={place}>
              <th scope="row">{place}</th>
              {cells.map((cell, i) => (
                <td key={heading[i + 1]}>{cell}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
