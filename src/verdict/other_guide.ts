import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import { type Position, type RingGuide, ringOf } from '../plan/plan.ts';
import type { Measured, ReportItem } from './report.ts';
import { measuredText, plannedText } from './wording.ts';

/** Why the guide at a place is not the planned one, a sentence; nothing where it is. */
export function otherGuide(
  item: ReportItem,
  position: Position,
  isSnake: boolean,
  display: LengthDisplay,
): string | undefined {
  if (item.guideVerdict !== 'different') return undefined;
  const ring = ringOf(position.guide);
  if (!ring)
    return isSnake
      ? 'The snake guide is not the planned one.'
      : 'There is a guide with a ring where a snake guide is planned.';
  if (isSnake) return 'There is a snake guide where one with a ring is planned.';
  const planned = plannedText(ring.ringOuter, display);
  if (item.ringOuter && !isPlannedSize(item, ring))
    return `The ring measures ${measuredText(item.ringOuter, display)}, where one of ${planned} is planned.`;
  if (item.height && beyondDoubt(item.height, ring.height))
    return `The ring’s middle stands ${measuredText(item.height, display)}, over the blank, where ${plannedText(ring.height, display)} is planned.`;
  return `The ring is not the planned one of ${planned}.`;
}

const beyondDoubt = ({ value, expanded }: Measured, planned: number): boolean => Math.abs(value - planned) > expanded;

/** Whether the ring measures what the planned one does, within its doubt: it differs in something else then. */
export const isPlannedSize = ({ ringOuter }: ReportItem, ring: RingGuide): boolean =>
  ringOuter !== undefined && !beyondDoubt(ringOuter, ring.ringOuter);
