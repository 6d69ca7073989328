/** The lower half of a symmetric matrix (n x n, row by row), row by row. */
export const triangleOf = (matrix: Float64Array, n: number): number[] =>
  Array.from({ length: n }, (_, i) => Array.from(matrix.subarray(i * n, i * n + i + 1))).flat();

/** The symmetric matrix of a lower half given row by row; undefined where that has another length. */
export function fromTriangle(half: readonly number[], n: number): Float64Array | undefined {
  if (half.length !== (n * (n + 1)) / 2) return undefined;
  const matrix = new Float64Array(n * n);
  let at = 0;
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) {
      matrix[i * n + j] = half[at]!;
      matrix[j * n + i] = half[at++]!;
    }
  return matrix;
}
