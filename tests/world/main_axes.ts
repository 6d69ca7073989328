/**
 * Eigenvalues, largest first, and their unit vectors of a symmetric matrix of a few rows (Jacobi 1846: rows and columns
 * are turned against each other until nothing is left beside the diagonal).
 */
export function mainAxes(matrix: readonly (readonly number[])[]): { values: number[]; vectors: number[][] } {
  const n = matrix.length;
  const a = matrix.map((row) => [...row]);
  const turned = a.map((_, i) => a.map((__, j) => (i === j ? 1 : 0)));
  for (let sweep = 0; sweep < 30; sweep++)
    for (let p = 0; p < n; p++)
      for (let q = p + 1; q < n; q++) {
        const angle = 0.5 * Math.atan2(2 * a[p]![q]!, a[q]![q]! - a[p]![p]!);
        const [c, s] = [Math.cos(angle), Math.sin(angle)];
        const turn = (rows: number[][]) => {
          for (const row of rows) [row[p], row[q]] = [c * row[p]! - s * row[q]!, s * row[p]! + c * row[q]!];
        };
        turn(a);
        [a[p], a[q]] = [a[p]!.map((v, k) => c * v - s * a[q]![k]!), a[p]!.map((v, k) => s * v + c * a[q]![k]!)];
        turn(turned);
      }
  const order = a.map((_, i) => i).sort((i, j) => a[j]![j]! - a[i]![i]!);
  return { values: order.map((i) => a[i]![i]!), vectors: order.map((i) => turned.map((row) => row[i]!)) };
}
