/** Symmetric positive definite matrices, n x n row by row. Source: Golub & Van Loan, Matrix Computations, 4.2. */

/**
 * Lower Cholesky factor of a symmetric positive definite matrix given by its lower half, or undefined when it is not.
 * What stands left of a row's first element that is not zero stays zero in the factor and is not gone through (envelope
 * method: Jennings, "A compact storage scheme for the solution of symmetric linear simultaneous equations", 1966):
 * unknowns that hang on few others cost least when they come first.
 */
export function choleskyFactor(matrix: Float64Array, n: number): Float64Array | undefined {
  const factor = new Float64Array(n * n);
  const first = new Int32Array(n);
  for (let i = 0; i < n; i++) {
    let from = 0;
    while (from < i && matrix[i * n + from] === 0) from++;
    first[i] = from;
    for (let j = from; j <= i; j++) {
      let sum = matrix[i * n + j]!;
      for (let k = Math.max(from, first[j]!); k < j; k++) sum -= factor[i * n + k]! * factor[j * n + k]!;
      if (i === j) {
        // A pivot that rounding has eaten says the column depends on the others.
        if (!(sum > 1e-14 * Math.abs(matrix[i * n + i]!))) return undefined;
        factor[i * n + i] = Math.sqrt(sum);
      } else factor[i * n + j] = sum / factor[j * n + j]!;
    }
  }
  return factor;
}

/** Solves L L' x = b. */
export function choleskySolve(factor: Float64Array, n: number, b: Float64Array): Float64Array {
  const x = Float64Array.from(b);
  for (let i = 0; i < n; i++) {
    let sum = x[i]!;
    for (let k = 0; k < i; k++) sum -= factor[i * n + k]! * x[k]!;
    x[i] = sum / factor[i * n + i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = x[i]!;
    for (let k = i + 1; k < n; k++) sum -= factor[k * n + i]! * x[k]!;
    x[i] = sum / factor[i * n + i]!;
  }
  return x;
}

/** The inverse of L L', n x n row by row: the inverse of L first, then its product with itself. */
export function choleskyInverse(factor: Float64Array, n: number): Float64Array {
  // Row c holds column c of L's inverse, so that every inner loop runs along a row.
  const columns = new Float64Array(n * n);
  for (let c = 0; c < n; c++) {
    const column = columns.subarray(c * n, (c + 1) * n);
    column[c] = 1 / factor[c * n + c]!;
    for (let i = c + 1; i < n; i++) {
      let sum = 0;
      for (let k = c; k < i; k++) sum -= factor[i * n + k]! * column[k]!;
      column[i] = sum / factor[i * n + i]!;
    }
  }
  const inverse = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = 0;
      for (let k = i; k < n; k++) sum += columns[i * n + k]! * columns[j * n + k]!;
      inverse[i * n + j] = sum;
      inverse[j * n + i] = sum;
    }
  }
  return inverse;
}

/**
 * The inverse of a symmetric positive definite matrix given by its lower half, n x n row by row, its rows and columns
 * scaled to a unit diagonal on the way; undefined when it is not one.
 */
export function inverseOfPositive(matrix: Float64Array, n: number): Float64Array | undefined {
  const lengths = Float64Array.from({ length: n }, (_, i) => Math.sqrt(matrix[i * n + i]!));
  const scaled = matrix.map((value, k) => value / (lengths[Math.floor(k / n)]! * lengths[k % n]!));
  const factor = choleskyFactor(scaled, n);
  return (
    factor && choleskyInverse(factor, n).map((value, k) => value / (lengths[Math.floor(k / n)]! * lengths[k % n]!))
  );
}
