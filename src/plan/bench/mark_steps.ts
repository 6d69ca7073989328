import type { MarkList, MarkRow } from '../layouts/mark_list.ts';

/** One place to mark off, in the order the tape is walked; mm. */
export interface MarkStep {
  /** of this place where it now is: a place that is moved later has another */
  key: string;
  list: MarkList;
  row: MarkRow;
  /** tape reading less that of the place marked before it, or of the tape's zero */
  gap: number;
  /** the place before it; absent for the first from the tape's zero */
  after?: string;
}

/** The places of the lists one after the other, each list outward from its tape's zero, first toward the butt. */
export function markSteps(lists: readonly MarkList[]): MarkStep[] {
  return lists.flatMap((list) =>
    (['butt', 'tip'] as const).flatMap((toward) => {
      const rows = list.rows.filter((row) => row.toward === toward).toSorted((a, b) => a.distance - b.distance);
      return rows.map((row, k): MarkStep => {
        const before = rows[k - 1];
        return {
          key: `${row.id} at ${row.at.toFixed(2)}`,
          list,
          row,
          gap: row.reading - (before?.reading ?? 0),
          ...(before && { after: before.id }),
        };
      });
    }),
  );
}

/** The step to go on with: the first that is not done after `from`, or before it; undefined once all are done. */
export function nextStep(steps: readonly MarkStep[], done: ReadonlySet<string>, from = 0): number | undefined {
  const order = [...steps.keys()].map((k) => (from + k) % steps.length);
  return order.find((k) => !done.has(steps[k]!.key));
}
