/**
 * Symmetric positive definite matrices, n x n row by row. Source: Golub & Van Loan, Matrix Computations, 4.2. Sums are
 * made four at a time, each in its own order: one by one, each product would wait for the last one's sum.
 */

/** So many rows or columns are worked on together. */
const together = 4;

/**
 * Lower Cholesky factor of a symmetric positive definite matrix given by its lower half, or undefined when it is not.
 * What stands left of a row's first element that is not zero stays zero in the factor and is not gone through (envelope
 * method: Jennings, "A compact storage scheme for the solution of symmetric linear simultaneous equations", 1966):
 * unknowns that hang on few others cost least when they come first.
 */
export function choleskyFactor(matrix: Float64Array, n: number): Float64Array | undefined {
  const factor = new Float64Array(n * n);
  const first = firstElements(matrix, n);
  for (let i = 0; i < n; i += together) {
    const end = Math.min(i + together, n);
    let from = i;
    for (let row = i; row < end; row++) from = Math.min(from, first[row]!);
    const isWhole = end === i + together;
    if (isWhole) fourRows(matrix, factor, first, i, from);
    for (let row = i; row < end; row++)
      for (let j = isWhole ? i : from; j <= row; j++) {
        let sum = matrix[row * n + j]!;
        for (let k = Math.max(from, first[j]!); k < j; k++) sum -= factor[row * n + k]! * factor[j * n + k]!;
        if (row === j) {
          // A pivot that rounding has eaten says the column depends on the others.
          if (!(sum > 1e-14 * Math.abs(matrix[row * n + row]!))) return undefined;
          factor[row * n + row] = Math.sqrt(sum);
        } else factor[row * n + j] = sum / factor[j * n + j]!;
      }
  }
  return factor;
}

/** The column of each row's first element that is not zero. */
function firstElements(matrix: Float64Array, n: number): Int32Array {
  const first = new Int32Array(n);
  for (let i = 0; i < n; i++) {
    let from = 0;
    while (from < i && matrix[i * n + from] === 0) from++;
    first[i] = from;
  }
  return first;
}

/** Fills four rows of a factor, from row `i` on, in the columns from `from` to before `i`. */
function fourRows(matrix: Float64Array, factor: Float64Array, first: Int32Array, i: number, from: number): void {
  const n = first.length;
  const [a, b, c, d] = [i * n, (i + 1) * n, (i + 2) * n, (i + 3) * n];
  for (let j = from; j < i; j++) {
    const row = j * n;
    let p = matrix[a + j]!;
    let q = matrix[b + j]!;
    let r = matrix[c + j]!;
    let s = matrix[d + j]!;
    for (let k = Math.max(from, first[j]!); k < j; k++) {
      const by = factor[row + k]!;
      p -= factor[a + k]! * by;
      q -= factor[b + k]! * by;
      r -= factor[c + k]! * by;
      s -= factor[d + k]! * by;
    }
    const pivot = factor[row + j]!;
    factor[a + j] = p / pivot;
    factor[b + j] = q / pivot;
    factor[c + j] = r / pivot;
    factor[d + j] = s / pivot;
  }
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
  const columns = inverseColumns(factor, n);
  const inverse = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    const row = i * n;
    let j = 0;
    for (; j + together <= i; j += together) {
      const [a, b, c, d] = [j * n, (j + 1) * n, (j + 2) * n, (j + 3) * n];
      let p = 0;
      let q = 0;
      let r = 0;
      let s = 0;
      for (let k = i; k < n; k++) {
        const by = columns[row + k]!;
        p += by * columns[a + k]!;
        q += by * columns[b + k]!;
        r += by * columns[c + k]!;
        s += by * columns[d + k]!;
      }
      inverse[row + j] = p;
      inverse[row + j + 1] = q;
      inverse[row + j + 2] = r;
      inverse[row + j + 3] = s;
    }
    for (; j <= i; j++) {
      let sum = 0;
      for (let k = i; k < n; k++) sum += columns[row + k]! * columns[j * n + k]!;
      inverse[row + j] = sum;
    }
  }
  for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) inverse[j * n + i] = inverse[i * n + j]!;
  return inverse;
}

/** L's inverse: row c holds its column c, so that every inner loop runs along a row. */
function inverseColumns(factor: Float64Array, n: number): Float64Array {
  const columns = new Float64Array(n * n);
  for (let first = 0; first < n; first += together) {
    const end = Math.min(first + together, n);
    for (let c = first; c < end; c++) {
      columns[c * n + c] = 1 / factor[c * n + c]!;
      // of four whole columns only what stands beside their own rows
      const last = end === first + together ? end : n;
      for (let i = c + 1; i < last; i++) {
        let sum = 0;
        for (let k = c; k < i; k++) sum -= factor[i * n + k]! * columns[c * n + k]!;
        columns[c * n + i] = sum / factor[i * n + i]!;
      }
    }
    if (end === first + together) fourColumns(factor, columns, n, first);
  }
  return columns;
}

/** Fills four columns of L's inverse, from column `first` on, below their own rows. */
function fourColumns(factor: Float64Array, columns: Float64Array, n: number, first: number): void {
  const [a, b, c, d] = [first * n, (first + 1) * n, (first + 2) * n, (first + 3) * n];
  for (let i = first + together; i < n; i++) {
    const row = i * n;
    let p = 0;
    let q = 0;
    let r = 0;
    let s = 0;
    for (let k = first; k < i; k++) {
      const by = factor[row + k]!;
      p -= by * columns[a + k]!;
      q -= by * columns[b + k]!;
      r -= by * columns[c + k]!;
      s -= by * columns[d + k]!;
    }
    const pivot = factor[row + i]!;
    columns[a + i] = p / pivot;
    columns[b + i] = q / pivot;
    columns[c + i] = r / pivot;
    columns[d + i] = s / pivot;
  }
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
