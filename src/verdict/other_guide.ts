import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import { type Position, ringOf } from '../plan/plan.ts';
import type { ReportItem } from './report.ts';
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
  return item.ringOuter
    ? `The ring measures ${measuredText(item.ringOuter, display)}, where one of ${planned} is planned.`
    : `The ring is not the planned one of ${planned}.`;
}
