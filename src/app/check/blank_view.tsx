import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import { blankRows } from '../../verdict/blank_table.ts';
import type { ReportBlank } from '../../verdict/report.ts';
import { Fold } from '../kit/fold.tsx';
import { RowsTable } from '../kit/rows_table.tsx';
import { blankWords } from '../words/blank_words.ts';
import { BlankDrawing } from './blank_drawing.tsx';

/** The measured blank: drawn, and every place with diameter and bow. */
export function BlankView({ blank, display }: { blank: ReportBlank; display: LengthDisplay }) {
  return (
    <section aria-label={blankWords.drawing}>
      <h2>{blankWords.drawing}</h2>
      <BlankDrawing blank={blank} display={display} />
      <Fold title={blankWords.table}>
        <BlankTable name={blankWords.tableWindow} rows={blankRows(blank, display)} />
        <p className="hint">{blankWords.tableHelp}</p>
      </Fold>
    </section>
  );
}

/** Rows of which the first is the heading. */
export function BlankTable({ name, rows: [columns = [], ...rows] }: { name: string; rows: readonly string[][] }) {
  return <RowsTable name={name} className="blank-table" table="comparison" columns={columns} rows={rows} />;
}
