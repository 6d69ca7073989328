/**
 * Rows for labels so that none overlap: each gets the first row that is free at its place, -1 where none is. Labels are
 * given by their middles and widths, in order from left to right.
 */
export function labelRows(labels: readonly { x: number; width: number }[], rows: number): number[] {
  const ends = Array.from({ length: rows }, () => -Infinity);
  return labels.map(({ x, width }) => {
    const row = ends.findIndex((end) => x - width / 2 >= end);
    if (row >= 0) ends[row] = x + width / 2 + 4;
    return row;
  });
}
