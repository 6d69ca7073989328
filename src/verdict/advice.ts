import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import type { Tolerance } from '../plan/plan.ts';
import type { RollReference, Stage } from '../plan/shoot.ts';
import { turnJoint } from './joints.ts';
import { type PhotoForItem, photoForItemText } from './next_photo_words.ts';
import { turnedBy } from './relative_rolls.ts';
import type { ReportExtra, ReportItem } from './report.ts';
import { sightingOf } from './sighting.ts';
import { amountText, degreesText, listText, lowerFirst, placeText, plannedText, towardOf, turnOf } from './wording.ts';

export interface AdviceContext {
  stage: Stage;
  tolerance: Tolerance;
  display: LengthDisplay;
  /** this place and the one whose guide it has changed places with, in order along the rod */
  swapped?: readonly [string, string];
  /** the roll reference that was asked for and that no photo gave, when no ring's roll could be told */
  missingReference?: RollReference;
  /** places are judged without the tape's scale */
  scaleShared?: boolean;
  /** planned diameter of the ring that belongs here, mm */
  plannedRing?: number;
  /** what the photo that helps most does for this place; `none` where no single photo helps any place */
  photo?: PhotoForItem | 'none';
  /** it can be set by hand; true when absent. A snake guide has no ring to point round */
  pointable?: boolean;
}

/**
 * Expanded uncertainty (k = 2) a good walk of photos reaches, scale aside: mm and degrees. Nearer the limit no photo
 * helps.
 */
const reachableAlong = 0.2;
const reachableRoll = 0.4;

/** What to do about one item, in the plan's own unit; nothing when it is in place. */
export function adviceFor(item: ReportItem, context: AdviceContext): string | undefined {
  if (!item.found) return adviceForNotFound(item, context);
  const moves = [slide(item, context), turn(item)].filter((m) => m !== undefined);
  const sentences = [
    exchange(item, context),
    item.setWrongWay && `Turn ${item.id} round: its foot points to the wrong end`,
    moves.length === 2 ? `${moves[0]}, and ${lowerFirst(moves[1]!.replace(` ${item.id} `, ' it '))}` : moves[0],
  ].filter((s) => typeof s === 'string');
  if (sentences.length > 0) return sentences.map((s) => `${s}.`).join(' ');
  if (item.turnedByJoint !== undefined) return turnJoint(item.turnedByJoint);
  return toSettle(item, context);
}

/** What to do about a mark or ring that is not in the plan; `doubted`: where it may well be something else. */
export function adviceForExtra(extra: ReportExtra, display: LengthDisplay, doubted = false): string {
  const place = placeText(extra.along.value, display);
  if (doubted)
    return `What lies at ${place} may be a ${extra.kind === 'mark' ? 'mark' : 'guide'} or not: look there before you take anything off.`;
  if (extra.kind === 'mark')
    return extra.doubleOf
      ? `Two marks for ${extra.doubleOf}: wipe off the one at ${place}.`
      : `Wipe off the extra mark at ${place}.`;
  return extra.doubleOf
    ? `Two rings at ${extra.doubleOf}: take off the one at ${place}.`
    : `The guide at ${place} is not in the plan: take it off, or add it to the plan.`;
}

function adviceForNotFound(item: ReportItem, { stage, display, pointable = true }: AdviceContext): string {
  const place = plannedText(item.planned, display);
  const thing = stage === 'marks' ? `mark for ${item.id}` : `guide ${item.id}`;
  switch (sightingOf(item)) {
    case 'not-there': {
      const seen = item.bareIn ? `: ${listText(item.bareIn)} show bare blank there` : '';
      return `The ${thing} (${place}) is missing${seen}.`;
    }
    case 'not-made-out':
      if (item.coveredIn) return coveredOver([item.id]);
      return `The photos show ${place}, but I cannot make out the ${thing}: ${pointable ? 'point it out, or ' : ''}one closer photo.`;
    default:
      return `No photo shows ${item.id}: one more photo, over ${place}.`;
  }
}

/** Something else lies over these places in every photo of them. */
export const coveredOver = (ids: readonly string[]): string =>
  `Something lies over the ${ids.length === 1 ? 'place' : 'places'} of ${listText(ids)} in every photo of ${ids.length === 1 ? 'it' : 'them'}, a hand or a tool perhaps: take it away, and one more photo there.`;

function slide(item: ReportItem, { stage, display }: AdviceContext): string | undefined {
  if (item.alongVerdict !== 'off' || !item.along) return undefined;
  const way = item.planned - item.along.value;
  return stage === 'marks'
    ? `Move the mark for ${item.id} ${amountText(way, display)} ${towardOf(way)}, to ${plannedText(item.planned, display)}`
    : `Slide ${item.id} ${amountText(way, display)} ${towardOf(way)}`;
}

function turn(item: ReportItem): string | undefined {
  const turned = turnedBy(item);
  if (item.rollVerdict !== 'off' || !turned || item.turnedByJoint !== undefined) return undefined;
  return `Turn ${item.id} ${degreesText(turned.value)} ${turnOf(-turned.value)}, seen from the butt`;
}

function exchange(item: ReportItem, { swapped, plannedRing, display }: AdviceContext): string | undefined {
  if (item.guideVerdict !== 'different') return undefined;
  if (swapped) return `Swap the guides at ${swapped[0]} and ${swapped[1]}`;
  const ring = plannedRing === undefined ? 'planned guide' : `guide with the ${plannedText(plannedRing, display)} ring`;
  return `Put the ${ring} at ${item.id}`;
}

/** What it takes to settle what is open of an item. */
type Settling = 'scale' | 'move' | 'turn' | 'reference' | 'photo';

/**
 * Only what is known to within the tolerance can be said to lie at its limit: what is known worse may lie anywhere, and
 * a photo comes first. Undefined where nothing is open.
 */
export function settledBy(
  item: ReportItem,
  { tolerance, missingReference, scaleShared }: Pick<AdviceContext, 'tolerance' | 'missingReference' | 'scaleShared'>,
): Settling | undefined {
  const { along } = item;
  const roll = turnedBy(item);
  const scalePart = scaleShared ? 0 : 2 * (item.uncertainty?.scale ?? 0);
  if (item.alongVerdict === 'unsure' && along) {
    const offset = along.value - item.planned;
    if (scalePart ** 2 > along.expanded ** 2 / 2 && scalePart > reachableAlong) return 'scale';
    const atLimit =
      along.expanded <= tolerance.along &&
      Math.abs(Math.abs(offset) - tolerance.along) < Math.hypot(reachableAlong, scalePart);
    if (atLimit) return 'move';
  }
  const rolledToLimit =
    roll && roll.expanded <= tolerance.roll && Math.abs(Math.abs(roll.value) - tolerance.roll) < reachableRoll;
  if (item.rollVerdict === 'unsure' && rolledToLimit) return 'turn';
  if (item.rollVerdict === 'unsure' && missingReference) return 'reference';
  const open = [item.rollVerdict, item.alongVerdict, item.guideVerdict].includes('unsure');
  return open ? 'photo' : undefined;
}

/** Which photo or which move would settle what is unsure. */
function toSettle(item: ReportItem, context: AdviceContext): string | undefined {
  const { stage, display, missingReference } = context;
  const { along, id } = item;
  const roll = turnedBy(item);
  switch (settledBy(item, context)) {
    case 'scale':
      return settling.scale([id]);
    case 'move': {
      const offset = along!.value - item.planned;
      const move = stage === 'marks' ? `move its mark` : 'slide it';
      return `${id} is at the very limit: ${move} ${amountText(offset, display)} ${towardOf(-offset)} to be sure.`;
    }
    case 'turn':
      return `${id} is rolled to the very limit: turn it ${degreesText(roll!.value)} ${turnOf(-roll!.value)}, seen from the butt, to be sure.`;
    case 'reference':
      return missingReference && howToGetReference[missingReference];
    case 'photo':
      return photoFor(item, context);
    default:
      return undefined;
  }
}

function photoFor(item: ReportItem, { photo, display }: AdviceContext): string {
  const { id } = item;
  if (typeof photo === 'object') return photoForItemText(photo, id, display);
  const placeOpen = item.rollVerdict === 'unsure' || item.alongVerdict === 'unsure';
  if (photo === 'none' && placeOpen)
    return `No single photo makes ${id} much surer: take the whole walk again, from closer and in soft light.`;
  if (item.rollVerdict === 'unsure') return settling.tilted([id]);
  if (item.alongVerdict === 'unsure') return settling.above([id]);
  return settling.close([id]);
}

const each = (ids: readonly string[]): string => (ids.length > 1 ? `each of ${listText(ids)}` : listText(ids));

/** What settles one place, or several for which it is the same: said once for all of them. */
export const settling = {
  scale: (ids: readonly string[]) =>
    `Measure the row of squares and the span again, by the tape that laid off the marks: the scale leaves ${listText(ids)} unsettled.`,
  tilted: (ids: readonly string[]) => `One more photo, over ${each(ids)}, tilted toward you.`,
  above: (ids: readonly string[]) => `One more photo, over ${each(ids)}, from straight above.`,
  close: (ids: readonly string[]) => `One more photo, close over ${each(ids)}.`,
};

/** What gives the rings' roll something to be measured against. */
export const howToGetReference: Record<RollReference, string> = {
  'seat-card': 'One more photo, with the card in the reel seat well in view, to tell the roll of the rings.',
  'spine-line': 'One more photo, with the spine line well in view, to tell the roll of the rings.',
  guides: 'Lay the card in the reel seat, or draw a spine line: one ring alone has no common line to tell its roll by.',
};
