import type { RecordContent } from './record_content.ts';
import { recordWords } from '../words/record_words.ts';

/** Every place with what was found and how sure it is. */
export function RecordTable({ columns, rows, meaning }: Pick<RecordContent, 'columns' | 'rows' | 'meaning'>) {
  return (
    <>
      {/* oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- what scrolls must be reachable by keyboard */}
      <div className="record-table" role="region" aria-label={recordWords.table} tabIndex={0}>
        <table>
          <thead>
            <tr>
              {columns.map((column) => (
                <th key={column} scope="col">
                  {column}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows.map(([place, ...cells]) => (
              <tr key={place}>
                <th scope="row">{place}</th>
                {cells.map((cell, i) => (
                  <td key={columns[i + 1]}>{cell}</td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p className="hint">{meaning}</p>
    </>
  );
}
