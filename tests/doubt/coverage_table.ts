/** One measured value: how far off it is, and the expanded uncertainty (k = 2) stated with it. */
export interface Missed {
  error: number;
  expanded: number;
}

/** Errors of one quantity, and the shoot each is from: errors within one shoot hang together. */
export interface Sample extends Missed {
  seed: number;
}

const rms = (values: readonly number[]) => Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);
const median = (values: readonly number[]) => values.toSorted((a, b) => a - b)[values.length >> 1]!;

/** Share inside U in per cent, with its standard error as the shoots' own shares scatter. */
export function inside(samples: readonly Sample[]): { share: number; error: number } {
  const within = ({ error, expanded }: Missed) => (Math.abs(error) <= expanded ? 1 : 0);
  const share = samples.reduce<number>((sum, one) => sum + within(one), 0) / samples.length;
  const perShoot = new Map<number, number>();
  for (const one of samples) perShoot.set(one.seed, (perShoot.get(one.seed) ?? 0) + within(one) - share);
  const square = [...perShoot.values()].reduce((sum, v) => sum + v * v, 0);
  return { share: 100 * share, error: (100 * Math.sqrt(square)) / samples.length };
}

/** The row of a table: how many, how many inside U, root mean square of error and of error over u, median U. */
export function coverageCells(samples: readonly Sample[]): string[] {
  if (samples.length === 0) return ['0', '-', '-', '-', '-'];
  const { share, error } = inside(samples);
  return [
    String(samples.length),
    `${share.toFixed(1)} ±${error.toFixed(1)}`,
    rms(samples.map((one) => one.error)).toFixed(3),
    rms(samples.map((one) => (2 * one.error) / one.expanded)).toFixed(2),
    median(samples.map(({ expanded }) => expanded)).toFixed(3),
  ];
}

/** Prints a table whose first column is wide. */
export function printTable(rows: readonly (readonly string[])[]): void {
  for (const [name = '', ...cells] of rows)
    console.log(name.padEnd(26) + cells.map((cell) => cell.padStart(11)).join(''));
}

/** Heads of the columns that `coverageCells` fills. */
export const coverageHeads = ['values', 'inside U %', 'rms error', 'error / u', 'median U'] as const;
