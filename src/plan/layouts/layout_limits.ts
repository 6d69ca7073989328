import { InputError } from '../input_error.ts';
import { planStart } from '../plan.ts';
import { formatLength } from '../lengths/length_text.ts';
import type { LayoutSpec } from './wanted_layout.ts';

/** Refuses places of a layout that lie beyond the blank. Throws InputError naming the first. */
export function refuseBeyondBlank({ plan, layout, spool }: LayoutSpec): void {
  const start = planStart(plan);
  const end = start + plan.blank.length;
  const words = (mm: number) => formatLength(mm, plan.unit);
  const held = (at: number, what: string, least = start) => {
    if (at >= least - 1e-6 && at <= end + 1e-6) return;
    throw new InputError(
      `${what} at ${words(at)} is off the blank, which runs from ${words(start)} to ${words(end)}; check the distance and blank.length.`,
    );
  };
  for (const [i, { kind, from, to }] of (plan.fittings ?? []).entries()) {
    held(from, `fittings[${i}], the ${kind.replace('-', ' ')} that begins`);
    held(to, `fittings[${i}], the ${kind.replace('-', ' ')} that ends`);
  }
  if (spool) held(spool.seatAt, 'spool, seatAt: the reel seat');
  if (layout.kind === 'growth' && layout.last !== undefined) held(layout.last, 'layout, last: the last guide', 0);
  if (layout.kind !== 'bend') return;
  held(layout.clampAt, 'layout, clampAt: the hold');
  held(layout.reel.at, 'layout, reel, at: the reel');
  if (layout.first !== undefined) held(layout.first, 'layout, first: the first guide');
  if (layout.last !== undefined) held(layout.last, 'layout, last: the last guide');
  if ('hangTest' in layout.rod) held(layout.rod.hangTest.clampAt, 'layout, rod, hangTest, clampAt: the hold');
  const beyond = layout.rod.stations?.find(({ at }) => at > end + 1e-6);
  if (beyond) held(beyond.at, 'layout, rod, stations: the diameter');
}
