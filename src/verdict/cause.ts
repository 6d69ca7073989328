import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import { type Position, type RingGuide, ringOf } from '../plan/plan.ts';
import type { Stage } from '../plan/shoot.ts';
import { misreadSteps } from './misread.ts';
import type { Pattern } from './pattern.ts';
import type { Measured } from './report.ts';
import { amountText, towardOf } from './wording.ts';

/** One item that is off, with what is known about it and the rest; lengths in mm, positive toward the butt. */
export interface OffItem {
  stage: Stage;
  position: Position;
  /** found minus planned */
  offset: Measured;
  /** allowed |offset| */
  tolerance: number;
  /** planned distance from the blank's end on the mat */
  at: number;
  patterns: readonly Pattern[];
  /** rings: its mark, seen beside it or known from an earlier shoot */
  mark?: { offset: Measured; fromRing: Measured };
  /** most of the other rings are in place */
  othersInPlace: boolean;
}

/** A ring this near (mm) to a mark sits on it. */
const onItsMark = 0.5;

/** Why an item is likely off along the blank, one sentence, or nothing when the numbers name no cause. */
export function causeOfOffset(item: OffItem, display: LengthDisplay): string | undefined {
  if (item.patterns.some((p) => p.kind === 'wrong-end')) return 'Likely counted from the butt end instead of the tip.';
  const common = item.patterns.reduce(
    (sum, p) => sum + (p.kind === 'shift' ? p.value : p.kind === 'growth' ? p.value * item.at : 0),
    0,
  );
  if (common !== 0 && Math.abs(item.offset.value - common) <= item.tolerance)
    return 'It is off along with all the others.';

  const misread = item.patterns.find((p) => p.kind === 'misread' && p.id === item.position.id);
  const step = misread?.kind === 'misread' ? misreadSteps.find((s) => s.length === misread.length) : undefined;
  const tape = step && `the tape was read wrong by ${step.name}`;
  if (item.stage === 'marks') return tape && `Likely ${tape}.`;

  const { mark } = item;
  const onMark = mark && Math.abs(mark.fromRing.value) <= Math.max(onItsMark, Math.min(1, mark.fromRing.expanded));
  if (mark && onMark && Math.abs(mark.offset.value) - mark.offset.expanded > item.tolerance)
    return `The ring sits on its mark, but the mark is ${amountText(mark.offset.value, display)} off, ${towardOf(mark.offset.value)}${tape ? `: likely ${tape}` : ''}.`;

  const guide = ringOf(item.position.guide);
  const foot = guide && item.othersInPlace && footOnMark(guide, mark ? mark.fromRing : item.offset);
  if (foot && tape && !mark) return `Likely the foot was set on the mark instead of the ring, or ${tape}.`;
  if (foot) return 'Likely the foot was set on the mark instead of the ring.';
  if (mark && Math.abs(mark.offset.value) <= item.tolerance)
    return `Its mark is in place; the ring sits ${amountText(mark.fromRing.value, display)} from it, ${towardOf(mark.fromRing.value)}.`;
  return tape && `Likely ${tape}.`;
}

/**
 * Whether a single-footed guide is off as it would be with its foot on the mark: by the reach of its foot, on the side
 * away from the foot. Where the plan gives no reach, from 6 mm (less for a ring that stands lower than 10 mm) to 10 mm
 * or 1.2 times the ring's height; where it does not say which way the foot points, toward the butt. Common practice, no
 * source.
 */
export function footOnMark(guide: RingGuide, offset: Measured): boolean {
  if (guide.foot !== 'single') return false;
  const away = guide.footToward === 'tip' ? offset.value : -offset.value;
  const doubt = Math.min(offset.expanded, 1);
  const [least, most] =
    guide.reach === undefined
      ? [Math.max(4.5, Math.min(6, 0.6 * guide.height)), Math.max(10, 1.2 * guide.height)]
      : [Math.max(1, guide.reach - 2), guide.reach + 2];
  return away >= least - doubt && away <= most + doubt;
}

/**
 * Pairs of places whose guides have changed places: each holds a guide that is not its own and fits the other's.
 *
 * @param places per planned place, from tip to butt: its id, whether its guide is surely another one, and the ids its
 * guide fits
 */
export function changedPlaces(
  places: readonly { id: string; different: boolean; fits: readonly string[] }[],
): Map<string, readonly [string, string]> {
  const partners = new Map<string, readonly [string, string]>();
  for (const [i, a] of places.entries()) {
    if (!a.different || partners.has(a.id)) continue;
    const b = places
      .slice(i + 1)
      .find((p) => p.different && !partners.has(p.id) && p.fits.includes(a.id) && a.fits.includes(p.id));
    if (!b) continue;
    partners.set(a.id, [a.id, b.id]);
    partners.set(b.id, [a.id, b.id]);
  }
  return partners;
}
