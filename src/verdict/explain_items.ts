import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import { pieceAt, piecesOf } from '../plan/pieces/pieces.ts';
import { type Plan, type Position, ringOf } from '../plan/plan.ts';
import { guidesAreOn, type Shoot } from '../plan/shoot.ts';
import { type AdviceContext, adviceFor } from './advice.ts';
import { causeOfOffset, changedPlaces } from './cause.ts';
import { joinedTurn, jointCause } from './joints.ts';
import { judgedDoubt } from './judged_doubt.ts';
import type { Matched } from './match_measured.ts';
import type { MeasuredShoot } from './measured_shoot.ts';
import { photoForItem } from './next_photo.ts';
import { isPlannedSize, otherGuide } from './other_guide.ts';
import type { Report, ReportItem, ReportNextPhoto } from './report.ts';

/** What is said of all items alike. */
export interface Explaining {
  plan: Plan;
  shoot: Shoot;
  measured: MeasuredShoot;
  matched: Matched;
  display: LengthDisplay;
  /** the report of an earlier marks shoot of the same rod */
  earlierMarks: Report | undefined;
  circumstances: Pick<AdviceContext, 'tolerance' | 'missingReference' | 'scaleShared'>;
  nextPhoto: ReportNextPhoto | 'none' | undefined;
}

/** The items (in the order of the plan's positions) with what likely put them where they are, and what to do. */
export function explainItems(items: readonly ReportItem[], explaining: Explaining): ReportItem[] {
  const { plan, matched } = explaining;
  const partners = changedPlaces(
    [...matched.identities].map(([id, { verdict, fits }]) => ({ id, different: verdict === 'different', fits })),
  );
  const othersInPlace = mostInPlace(items, plan.tolerance.along);
  return items.map((item, index) => {
    const position = matched.positions[index]!;
    const swapped = partners.get(item.id);
    const joint = joinedTurn(item, matched.jointed, plan);
    const turned: ReportItem = { ...item, ...(joint !== undefined && { turnedByJoint: joint }) };
    const cause = [
      joint === undefined ? undefined : jointCause(pieceAt(piecesOf(plan), item.planned).number),
      swapped && `The guides at ${swapped[0]} and ${swapped[1]} have likely changed places.`,
      swapped
        ? undefined
        : otherGuide(turned, position, matched.found.get(item.id)?.type === 'snake', explaining.display),
      offsetCause(turned, position, othersInPlace, explaining),
    ].filter((sentence) => sentence !== undefined);
    const explained: ReportItem = { ...turned, ...(cause.length > 0 && { cause: cause.join(' ') }) };
    const advice = adviceOf(explained, position, swapped, explaining);
    return { ...explained, ...(advice && { advice }) };
  });
}

/** What likely put an item off along the rod; nothing where it is not off. */
function offsetCause(
  item: ReportItem,
  position: Position,
  othersInPlace: boolean,
  { plan, shoot, measured, matched, display, earlierMarks }: Explaining,
): string | undefined {
  if (item.alongVerdict !== 'off' || !item.along) return undefined;
  return causeOfOffset(
    {
      stage: shoot.stage,
      position,
      offset: {
        value: item.along.value - item.planned,
        expanded: judgedDoubt(matched.found.get(item.id)!, measured.scale),
      },
      tolerance: plan.tolerance.along,
      at: position.at - matched.start,
      patterns: matched.patterns,
      mark: markOf(item, earlierMarks),
      othersInPlace,
    },
    display,
  );
}

function adviceOf(
  item: ReportItem,
  { guide }: Position,
  swapped: readonly [string, string] | undefined,
  { shoot, display, circumstances, nextPhoto }: Explaining,
): string | undefined {
  const ring = ringOf(guide);
  return adviceFor(item, {
    ...circumstances,
    stage: shoot.stage,
    display,
    swapped,
    photo: nextPhoto === 'none' ? nextPhoto : nextPhoto && photoForItem(nextPhoto, item.id),
    plannedRing: ring && !isPlannedSize(item, ring) ? ring.ringOuter : undefined,
    pointable: guide?.type !== 'snake' || !guidesAreOn(shoot.stage),
  });
}

function mostInPlace(items: readonly ReportItem[], tolerance: number): boolean {
  const offsets = items
    .flatMap((i) => (i.along ? [Math.abs(i.along.value - i.planned)] : []))
    .toSorted((a, b) => a - b);
  return offsets.length > 1 && offsets[(offsets.length - 1) >> 1]! <= tolerance;
}

/** The mark a ring belongs to: seen beside it, else as an earlier marks shoot found it. */
function markOf(item: ReportItem, earlier: Report | undefined) {
  if (!item.along) return undefined;
  const along = item.mark?.along ?? earlier?.items.find((i) => i.id === item.id && i.found)?.along;
  if (!along) return undefined;
  return {
    offset: { value: along.value - item.planned, expanded: along.expanded },
    fromRing: { value: item.along.value - along.value, expanded: Math.hypot(along.expanded, item.along.expanded) },
  };
}
