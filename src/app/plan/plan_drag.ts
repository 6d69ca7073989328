import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import { longestRod } from '../../plan/files/longest_rod.ts';
import { millimetresPerInch } from '../../plan/lengths/units.ts';
import { type Plan, planStart } from '../../plan/plan.ts';

/** The step a place is moved by in the drawing, mm: what a tape is read to, finer where the drawing is closer. */
export function placeStep(display: LengthDisplay, pixelsPerMm: number): number {
  const close = pixelsPerMm >= 3;
  if (display === 'mm') return close ? 0.5 : 1;
  return millimetresPerInch / (close ? 32 : 16);
}

/** Where a place can be moved to, mm as the plan counts: on the blank, and not past the places beside it. */
export function roomOf(plan: Plan, row: number, step: number): { least: number; most: number } {
  const start = planStart(plan);
  const { at } = plan.positions[row]!;
  const others = plan.positions.filter((_, i) => i !== row).map((position) => position.at);
  const before = Math.max(...others.filter((other) => other < at), -Infinity);
  const after = Math.min(...others.filter((other) => other > at), Infinity);
  const end = plan.blank.length > 0 ? start + plan.blank.length : longestRod;
  return { least: Math.max(start, 0, before + step), most: Math.min(end, after - step) };
}

/** A place moved to `wanted`, mm, on a whole step; it stays where it is where there is no room. */
export function movedTo(plan: Plan, row: number, wanted: number, step: number): number {
  const { least, most } = roomOf(plan, row, step);
  const [first, last] = [Math.ceil(least / step - 1e-9), Math.floor(most / step + 1e-9)];
  if (first > last) return plan.positions[row]!.at;
  return Math.min(Math.max(Math.round(wanted / step), first), last) * step;
}
