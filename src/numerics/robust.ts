/** The q-quantile (0..1) of the finite values, by linear interpolation; NaN when there are none. */
export function quantile(values: ArrayLike<number>, q: number): number {
  // Filled in a loop: this runs for every row of every strip, and iterators are several times slower.
  const finite = new Float64Array(values.length);
  let count = 0;
  for (let i = 0; i < values.length; i++) if (Number.isFinite(values[i])) finite[count++] = values[i]!;
  if (count === 0) return Number.NaN;
  const place = q * (count - 1);
  const i = Math.floor(place);
  const a = inOrder(finite, count, i);
  const b = i + 1 < count ? leastOf(finite, i + 1, count) : a;
  return a + (b - a) * (place - i);
}

/**
 * What would stand at a place if the first `count` values were sorted (Hoare's selection, "Algorithm 65: find", 1961).
 * Puts it there, what is no more before it, what is no less behind it.
 */
function inOrder(values: Float64Array, count: number, place: number): number {
  let low = 0;
  let high = count - 1;
  while (low < high) {
    const pivot = values[(low + high) >> 1]!;
    let i = low;
    let j = high;
    while (i <= j) {
      while (values[i]! < pivot) i++;
      while (values[j]! > pivot) j--;
      if (i > j) break;
      const other = values[i]!;
      values[i++] = values[j]!;
      values[j--] = other;
    }
    if (place <= j) high = j;
    else if (place >= i) low = i;
    else break;
  }
  return values[place]!;
}

function leastOf(values: Float64Array, from: number, to: number): number {
  let least = values[from]!;
  for (let i = from + 1; i < to; i++) if (values[i]! < least) least = values[i]!;
  return least;
}

/**
 * The order statistic below which this share (0..1) of the values lies: one of them, of two the upper; undefined of
 * none.
 */
export function orderStatistic(values: readonly number[], share: number): number | undefined {
  const count = values.length;
  if (count === 0) return undefined;
  const numbers = new Float64Array(count);
  let told = 0;
  for (let i = 0; i < count; i++) if (!Number.isNaN(values[i])) numbers[told++] = values[i]!;
  const place = Math.min(Math.floor(share * count), count - 1);
  // what is no number comes last
  return place < told ? inOrder(numbers, told, place) : Number.NaN;
}

export const median = (values: ArrayLike<number>): number => quantile(values, 0.5);

/** The median of a normal distribution's magnitudes as a share of its standard deviation. */
export const medianOfNormal = 0.6745;
/** A normal distribution's standard deviation by the median of its magnitudes. */
export const sigmaByMedian = 1.4826;

/** Standard deviation as the median absolute deviation tells it for a normal distribution. */
export function robustSigma(values: ArrayLike<number>, centre = median(values)): number {
  const away = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) away[i] = Math.abs(values[i]! - centre);
  return sigmaByMedian * median(away);
}

/** Running median over a window of `2 * half + 1` values, shortened at the ends. */
export function runningMedian(values: ArrayLike<number>, half: number): Float64Array {
  const n = values.length;
  const out = new Float64Array(n);
  const window: number[] = [];
  const placeOf = (v: number): number => {
    let low = 0;
    let high = window.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (window[middle]! < v) low = middle + 1;
      else high = middle;
    }
    return low;
  };
  const put = (v: number): void => void window.splice(placeOf(v), 0, v);
  for (let i = 0; i < Math.min(half, n); i++) put(values[i]!);
  for (let i = 0; i < n; i++) {
    if (i + half < n) put(values[i + half]!);
    if (i - half - 1 >= 0) window.splice(placeOf(values[i - half - 1]!), 1);
    const m = window.length;
    out[i] = m % 2 === 1 ? window[m >> 1]! : (window[m / 2 - 1]! + window[m / 2]!) / 2;
  }
  return out;
}
