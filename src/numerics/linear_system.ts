/**
 * Solves A x = b by Gaussian elimination with partial pivoting; A row by row, n x n. Returns undefined when A is
 * singular to working precision. Source: Golub & Van Loan, Matrix Computations, algorithm 3.4.1.
 */
export function solveLinearSystem(
  matrix: readonly (readonly number[])[],
  right: readonly number[],
): number[] | undefined {
  const n = right.length;
  const rows = matrix.map((row, i) => Float64Array.from([...row, right[i]!]));
  const largest = Math.max(...rows.map((row) => row.reduce((most, v) => Math.max(most, Math.abs(v)), 0)));
  for (let column = 0; column < n; column++) {
    let pivot = column;
    for (let i = column + 1; i < n; i++) {
      if (Math.abs(rows[i]![column]!) > Math.abs(rows[pivot]![column]!)) pivot = i;
    }
    const top = rows[pivot]!;
    if (!(Math.abs(top[column]!) > largest * 1e-15)) return undefined;
    rows[pivot] = rows[column]!;
    rows[column] = top;
    for (let i = column + 1; i < n; i++) {
      const row = rows[i]!;
      const factor = row[column]! / top[column]!;
      if (factor === 0) continue;
      for (let j = column; j <= n; j++) row[j] = row[j]! - factor * top[j]!;
    }
  }
  const x = Array.from({ length: n }, () => 0);
  for (let i = n - 1; i >= 0; i--) {
    const row = rows[i]!;
    let sum = row[n]!;
    for (let j = i + 1; j < n; j++) sum -= row[j]! * x[j]!;
    x[i] = sum / row[i]!;
  }
  return x;
}
