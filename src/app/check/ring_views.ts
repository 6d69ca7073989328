import { turnOf } from '../../numerics/turn.ts';
import type { KeptCheck } from '../../store/build.ts';
import type { ReportItem } from '../../verdict/report.ts';

/** A ring as the views draw it: turned so that where the plan wants it lies straight up. */
export interface RingInView {
  item: ReportItem;
  along: number;
  /** ring centre from the axis, mm: to the right as seen from the butt, and up */
  right: number;
  up: number;
  ringOuter: number;
  blankRadius: number;
  plannedHeight: number | undefined;
}

/** The check's rings from tip to butt, turned about the axis by the angle between the bench and the roll reference. */
export function ringsInView({ report, evidence, plan }: KeptCheck): RingInView[] {
  const both = evidence.rings.flatMap((ring) => {
    const item = report.items.find(({ id }) => id === ring.id);
    return item ? [{ ring, item }] : [];
  });
  const turns = both.flatMap(({ ring, item }) => (item.roll ? [turnOf(ring.roll - item.roll.value)] : []));
  const reference = middleOf(turns);
  return both
    .map(({ ring, item }) => {
      const turn = ((reference + (item.plannedRoll ?? 0)) * Math.PI) / 180;
      return {
        item,
        along: ring.along,
        right: ring.right * Math.cos(turn) - ring.up * Math.sin(turn),
        up: ring.right * Math.sin(turn) + ring.up * Math.cos(turn),
        ringOuter: ring.ringOuter,
        blankRadius: ring.blankRadius,
        plannedHeight: plan.positions.find(({ id }) => id === ring.id)?.guide?.height,
      };
    })
    .toSorted((a, b) => a.along - b.along);
}

function middleOf(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const middle = Math.floor(sorted.length / 2);
  if (sorted.length === 0) return 0;
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}
