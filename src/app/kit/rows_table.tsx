/** A table whose first column names its rows; what is wider than the screen scrolls, by keyboard as well. */
export function RowsTable({
  name,
  className,
  table,
  columns,
  rows,
}: {
  name: string;
  /** of what scrolls, and of the table in it */
  className: string;
  table?: string;
  columns: readonly string[];
  rows: readonly (readonly string[])[];
}) {
  return (
    // oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- what scrolls must be reachable by keyboard
    <div className={className} role="region" aria-label={name} tabIndex={0}>
      <table className={table}>
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
  );
}
