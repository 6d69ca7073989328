import { RowsTable } from '../kit/rows_table.tsx';
import { recordWords } from '../words/record_words.ts';
import type { RecordContent } from './record_content.ts';

/** Every place with what was found and how sure it is. */
export function RecordTable({ columns, rows, meaning }: Pick<RecordContent, 'columns' | 'rows' | 'meaning'>) {
  return (
    <>
      <RowsTable name={recordWords.table} className="record-table" columns={columns} rows={rows} />
      <p className="hint">{meaning}</p>
    </>
  );
}
