/** How a comma is meant in a list: between columns, or before decimals. */
export type CommaUse = 'separator' | 'decimal';

const strongSeparators = /[\t;|]/;

/** True where a list's columns stand in quotes as spreadsheets write them (RFC 4180). */
export const hasQuotedCells = (line: string): boolean =>
  /^"(?:[^"]|"")*"\s*(?:[,;\t|]|$)/.test(line.trim()) || /[,;\t|]\s*"(?:[^"]|"")+"\s*(?:[,;\t|]|$)/.test(line);

/**
 * The cells of one line, trimmed. Tabs, semicolons and bars always part cells; a comma only where it is a separator,
 * and never inside quotes; two spaces and more part the cells of a table laid out by spaces. Quotes around cells go
 * (RFC 4180).
 */
export function cellsOf(line: string, comma: CommaUse): string[] {
  const strong = strongSeparators.test(line);
  const separators = strong ? strongSeparators : comma === 'separator' ? /,/ : undefined;
  if (hasQuotedCells(line)) return quotedCells(line, separators ?? /,/);
  if (separators) return line.split(separators).map((cell) => cell.trim());
  return [line.trim()];
}

function quotedCells(line: string, separators: RegExp): string[] {
  const cells: string[] = [];
  let cell = '';
  let quoted = false;
  for (let i = 0; i < line.length; i++) {
    const sign = line[i]!;
    if (quoted && sign === '"' && line[i + 1] === '"') {
      cell += sign;
      i++;
    } else if (sign === '"' && (quoted || cell.trim() === '')) {
      quoted = !quoted;
      if (quoted) cell = '';
    } else if (!quoted && separators.test(sign)) {
      cells.push(cell.trim());
      cell = '';
    } else cell += sign;
  }
  return [...cells, cell.trim()];
}

/** True where tabs, semicolons or bars stand in the line. */
export const hasStrongSeparators = (line: string): boolean => strongSeparators.test(line);

/**
 * Where the columns of a table laid out by spaces begin, from its heading; undefined for a line that is no such
 * heading.
 */
export function spacedColumns(heading: string): number[] | undefined {
  if (strongSeparators.test(heading) || !/\S {2,}\S/.test(heading)) return undefined;
  return [...heading.matchAll(/\S+(?: \S+)*/g)].map((match) => match.index);
}

/** The cells of a row below such a heading; undefined where the row does not keep to its columns. */
export function spacedCells(row: string, starts: readonly number[]): string[] | undefined {
  const parted = starts.every((start) => start === 0 || start > row.length || row[start - 1] === ' ');
  if (parted) return starts.map((start, k) => row.slice(start, starts[k + 1]).trim());
  const cells = row.trim().split(/ {2,}/);
  return cells.length === starts.length ? cells : undefined;
}
