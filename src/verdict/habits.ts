import { median } from '../numerics/robust.ts';
import { studentFactor } from '../numerics/student_factor.ts';
import { turnedBy } from './relative_rolls.ts';
import type { Report } from './report.ts';

/** What a builder does alike on rod after rod: where marks or rings sit beside the plan, or how rings are rolled. */
export interface Habit {
  kind: 'marks' | 'rings' | 'roll';
  /** mean signed offset: mm, positive toward the butt; degrees, positive clockwise as seen from the butt */
  mean: number;
  /** its expanded uncertainty, about 95 % */
  expanded: number;
  rods: number;
  items: number;
}

/** One rod as it first lay on the mat; what was moved on the tool's advice afterwards is nobody's habit. */
export interface FirstCheck {
  report: Pick<Report, 'stage' | 'items'>;
  /** roll was read against the reel seat or the spine line, not against the rings' own line, whose mean is nought */
  rollFromOutside: boolean;
}

const leastRods = 3;
const leastItems = 12;
/** Fewer on one rod and a single slip would speak for it. */
const leastItemsOfRod = 3;
/** Smaller than what any builder would change, or any tape would show: mm, degrees. */
const worthSaying = { marks: 0.2, rings: 0.2, roll: 0.5 } satisfies Record<Habit['kind'], number>;

/** A rod this far from the others has had a slip of its own, a hook or a misread: mm, degrees. */
const ofItsOwn = { marks: 3, rings: 3, roll: 10 } satisfies Record<Habit['kind'], number>;

/**
 * The habits that the rods bear out: at least three rods and twelve items, a mean beyond its 95 % uncertainty and large
 * enough to matter. Each rod speaks by the median of its items, so that one slip on it counts for nothing, and the rods
 * by their spread: what all items of a rod share (its tip, its tape) is not counted as often as there are items. Twice
 * the standard error becomes Student's factor where rods are few (JCGM 100:2008, annex G).
 */
export function habitsOf(checks: readonly FirstCheck[]): Habit[] {
  const offsets: Record<Habit['kind'], number[][]> = { marks: [], rings: [], roll: [] };
  for (const { report, rollFromOutside } of checks) {
    const found = report.items.filter((item) => item.found && item.guideVerdict !== 'different');
    if (report.stage !== 'marks' && report.stage !== 'rings') continue;
    offsets[report.stage].push(found.flatMap(({ along, planned }) => (along ? [along.value - planned] : [])));
    if (rollFromOutside) offsets.roll.push(found.flatMap((item) => turnedBy(item)?.value ?? []));
  }
  return (['marks', 'rings', 'roll'] as const).flatMap((kind) => {
    const habit = habitIn(kind, offsets[kind]);
    return habit ? [habit] : [];
  });
}

function habitIn(kind: Habit['kind'], all: readonly number[][]): Habit | undefined {
  const enough = all.filter((offsets) => offsets.length >= leastItemsOfRod);
  if (enough.length === 0) return undefined;
  const middle = median(enough.map(median));
  const rods = enough.filter((offsets) => Math.abs(median(offsets) - middle) < ofItsOwn[kind]);
  const items = rods.reduce((sum, offsets) => sum + offsets.length, 0);
  if (rods.length < leastRods || items < leastItems) return undefined;
  const medians = rods.map(median);
  const mean = medians.reduce((sum, value) => sum + value, 0) / rods.length;
  const squares = medians.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  const standardError = Math.sqrt(squares / (rods.length - 1) / rods.length);
  const expanded = Math.max(2, studentFactor(rods.length - 1)) * standardError;
  if (Math.abs(mean) <= expanded || Math.abs(mean) <= worthSaying[kind]) return undefined;
  return { kind, mean, expanded, rods: rods.length, items };
}
