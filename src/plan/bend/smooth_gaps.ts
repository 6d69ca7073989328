/** Gaps between the tip and each position in turn, mm; a lone guide is seen against the gap behind it too. */
export function gapsOf(at: readonly number[], clampAt: number): number[] {
  return (at.length === 1 ? [...at, clampAt] : at).map((s, k) => s - (k === 0 ? 0 : at[k - 1]!));
}

/**
 * The one difference of highest order, divided by the sum of its coefficients: zero for a polynomial of lower degree.
 */
export function highestDifference(values: readonly number[]): number {
  let differences = [...values];
  while (differences.length > 1) differences = differences.slice(1).map((value, k) => (value - differences[k]!) / 2);
  return differences[0]!;
}

/** How each gap departs from the geometric mean of its neighbours: zero throughout for geometric growth. */
export function roughness(gaps: readonly number[]): number[] {
  const logs = gaps.map((gap) => Math.log(gap));
  return logs.slice(2).map((log, k) => log - 2 * logs[k + 1]! + logs[k]!);
}

/** Gaps count as smooth when no change is taken back by more than this, and none breaks off by more than that. */
const mostTakenBack = 0.2;
const mostBrokenOff = 0.8;

/**
 * Whether gaps between guides run smoothly, by changes of their logarithms: they do not grow and shrink in turn, nor
 * does growth break off. The gap from the tip counts where the first guide was free.
 */
export function runsSmoothly(at: readonly number[], withTip: boolean): boolean {
  const places = withTip ? [0, ...at] : at;
  const logs = places.slice(1).map((place, k) => Math.log(place - places[k]!));
  const changes = logs.slice(1).map((log, k) => log - logs[k]!);
  return changes.slice(1).every((change, k) => {
    const before = changes[k]!;
    const takenBack = change * before < 0 ? Math.min(Math.abs(change), Math.abs(before)) : 0;
    return takenBack <= mostTakenBack && Math.abs(change - before) <= mostBrokenOff;
  });
}

const squares = (values: readonly number[]) => values.reduce((sum, value) => sum + value * value, 0);

/**
 * The smoothest member of a family of layouts: least sum of squared roughness over one parameter, by Gauss-Newton with
 * step halving. `gapsAt` gives a member's gaps, or undefined where the family ends.
 */
export function smoothestMember(
  gapsAt: (parameter: number) => readonly number[] | undefined,
  start: number,
  difference: number,
): number {
  let parameter = start;
  for (let iteration = 0; iteration < 15; iteration++) {
    const here = gapsAt(parameter);
    const beside = gapsAt(parameter + difference) ?? gapsAt(parameter - difference);
    if (!here || !beside) return parameter;
    const sign = gapsAt(parameter + difference) ? 1 : -1;
    const rough = roughness(here);
    const slope = roughness(beside).map((value, i) => (value - rough[i]!) / (sign * difference));
    const steepness = squares(slope);
    if (!(steepness > 0)) return parameter;
    const change = rough.reduce((sum, value, i) => sum + value * slope[i]!, 0) / steepness;
    let step = change;
    for (;;) {
      const gaps = gapsAt(parameter - step);
      if (gaps && squares(roughness(gaps)) <= squares(rough)) break;
      step /= 2;
      if (Math.abs(step) < 1e-3 * difference) return parameter;
    }
    parameter -= step;
    if (Math.abs(step) < 0.1 * difference) return parameter;
  }
  return parameter;
}
