import type { LengthDisplay } from '../plan/lengths/length_text.ts';
import { pieceAt, piecesOf } from '../plan/pieces/pieces.ts';
import { type Plan, planStart, type Position, type RingGuide, ringOf } from '../plan/plan.ts';
import { guidesAreOn, type Shoot } from '../plan/shoot.ts';
import { adviceFor, adviceForExtra } from './advice.ts';
import { causeOfOffset, changedPlaces } from './cause.ts';
import { coverageFactor, decide } from './decision.ts';
import { type GuideIdentity, identifyGuide } from './guide_identity.ts';
import { type Matching, matchPlaces } from './match.ts';
import type { Estimate, MeasuredPlace, MeasuredScale, MeasuredShoot, PlaceShown } from './measured_shoot.ts';
import { jointedShoot } from './jointed_shoot.ts';
import { jointSentences } from './joint_sentences.ts';
import { joinedTurn, jointCause, judgeJoints, tipTopInLine } from './joints.ts';
import { judgedDoubt } from './judged_doubt.ts';
import { nextPhotoOf, photoForItem } from './next_photo.ts';
import { otherGuide } from './other_guide.ts';
import { findPatterns, type Pattern } from './pattern.ts';
import { rollReferenceOf, rollsFromReference, turnedBy } from './relative_rolls.ts';
import type { Along, Measured, Report, ReportExtra, ReportItem } from './report.ts';
import { rodVerdict } from './rod_verdict.ts';
import { judgeTipTop } from './tip_top.ts';
import { sightingOfLost } from './sighting.ts';
import { reportSlides, slideNote, verdictAfterSlides } from './slides.ts';
import { wholeRodNotes } from './whole_rod_notes.ts';
import { displayOf } from './wording.ts';

export interface JudgeOptions {
  /** how lengths are said; the plan's own unit when absent */
  display?: LengthDisplay;
  /** rings: the report of an earlier marks shoot of the same rod */
  earlierMarks?: Report;
}

/**
 * Holds what was measured against the plan: matching, decisions with guard bands, likely causes, advice, the whole
 * rod's verdict. In a marks shoot every position is an item, in a rings shoot the guides are. Report lengths are mm
 * counted as the plan counts them (from the rod's tip, where the plan is for one section).
 */
export function judge(plan: Plan, shoot: Shoot, measured: MeasuredShoot, options: JudgeOptions = {}): Report {
  const display = options.display ?? displayOf(plan);
  const start = measured.start ?? planStart(plan);
  const positions = plan.positions.filter((p) => shoot.stage === 'marks' || p.kind === 'guide');
  const matching = match(plan, shoot, positions, measured, start);
  const zero = rollReferenceOf(
    shoot,
    measured.places.map(({ roll }, i) => {
      const pair = matching.pairs.find(({ found: own }) => own === i);
      return { ...(roll && { roll }), planned: pair ? (positions[pair.planned]!.guide?.roll ?? 0) : 0 };
    }),
  );
  const places = rollsFromReference(measured.places, zero);
  const jointed = judgeJoints(plan, jointedShoot(plan, shoot, { measured, matching, positions, start }));
  const found = new Map(matching.pairs.map((pair) => [positions[pair.planned]!.id, places[pair.found]!]));
  const patterns = patternsOf(plan, positions, found, measured, start);

  const identities = new Map<string, GuideIdentity>();
  const guides = positions.flatMap((p) => (p.guide ? [{ id: p.id, guide: p.guide }] : []));
  if (guidesAreOn(shoot.stage))
    for (const { id } of guides) {
      const place = found.get(id);
      if (place) identities.set(id, identifyGuide(id, guides, place));
    }
  const partners = changedPlaces(
    [...identities].map(([id, { verdict, fits }]) => ({ id, different: verdict === 'different', fits })),
  );

  const items = positions.map((position): ReportItem => {
    const place = found.get(position.id);
    return place
      ? foundItem(plan, shoot, position, place, identities.get(position.id), { start, scale: measured.scale })
      : lostItem(position, measured.shown[position.id]);
  });
  const pieces = piecesOf(plan);
  const missingReference = referenceMissing(shoot, measured, items) ? shoot.rollReference : undefined;
  const othersInPlace = mostInPlace(items, plan.tolerance.along);
  const scaleShared = measured.scale.tape !== undefined;
  const circumstances = { tolerance: plan.tolerance, missingReference, scaleShared };
  const nextPhoto = nextPhotoOf({ items, matching, measured }, circumstances);
  for (const [index, item] of items.entries()) {
    const position = positions[index]!;
    const swapped = partners.get(item.id);
    const joint = joinedTurn(item, jointed, plan);
    if (joint !== undefined) item.turnedByJoint = joint;
    const cause = [
      joint === undefined ? undefined : jointCause(pieceAt(pieces, item.planned).number),
      swapped && `The guides at ${swapped[0]} and ${swapped[1]} have likely changed places.`,
      swapped ? undefined : otherGuide(item, position, found.get(item.id)?.type === 'snake', display),
      item.alongVerdict === 'off' && item.along
        ? causeOfOffset(
            {
              stage: shoot.stage,
              position,
              offset: {
                value: item.along.value - item.planned,
                expanded: judgedDoubt(found.get(item.id)!, measured.scale),
              },
              tolerance: plan.tolerance.along,
              at: position.at - start,
              patterns,
              mark: markOf(item, options.earlierMarks),
              othersInPlace,
            },
            display,
          )
        : undefined,
    ].filter((sentence) => sentence !== undefined);
    if (cause.length > 0) item.cause = cause.join(' ');
    const advice = adviceFor(item, {
      ...circumstances,
      stage: shoot.stage,
      display,
      swapped,
      photo: nextPhoto === 'none' ? nextPhoto : nextPhoto && photoForItem(nextPhoto, item.id),
      plannedRing: ringOf(position.guide)?.ringOuter,
      pointable: position.guide?.type !== 'snake' || !guidesAreOn(shoot.stage),
    });
    if (advice) item.advice = advice;
  }
  const tipTop =
    plan.tipTop && guidesAreOn(shoot.stage)
      ? tipTopInLine(
          judgeTipTop(plan.tipTop, plan.tolerance, measured.tipTop, shoot.rollReference, zero),
          jointed,
          plan,
        )
      : undefined;
  const extras = extrasOf(shoot, positions, measured, matching, start, display);
  const slides = reportSlides(measured.slides);
  const { joints } = jointed;
  return {
    schema: 'prewrap.report/1',
    unit: 'mm',
    stage: shoot.stage,
    verdict: verdictAfterSlides(
      rodVerdict(shoot.stage, items, extras, measured.scale.measured, { tipTop, joints }),
      slides,
    ),
    items,
    extras,
    photos: measured.photos,
    scale: {
      along: measured.scale.along,
      across: measured.scale.across,
      expanded: coverageFactor * measured.scale.u,
      ...(measured.scale.tape !== undefined && { shared: true as const }),
    },
    ...(measured.flatWithin !== undefined && { flatWithin: measured.flatWithin }),
    ...(measured.profiles?.length && { profiles: measured.profiles }),
    notes: [
      ...wholeRodNotes(
        { stage: shoot.stage, items, extras, patterns, scaleMeasured: measured.scale.measured, missingReference },
        options.earlierMarks,
        display,
      ),
      ...joints.flatMap((joint) => jointSentences(joint, plan.tolerance, display)),
      ...slides.map((slide) => slideNote(slide, display)),
      ...measured.notes,
    ],
    ...(patterns.length > 0 && { patterns }),
    ...(tipTop && { tipTop }),
    ...(slides.length > 0 && { slides }),
    ...(joints.length > 0 && { joints }),
    ...(plan.section?.piece !== undefined && {
      piece: { number: plan.section.piece, of: plan.section.of ?? plan.section.piece },
    }),
    ...(typeof nextPhoto === 'object' && { nextPhoto }),
  };
}

const expanded = ({ value, u }: Estimate): Measured => ({ value, expanded: coverageFactor * u });
const shifted = (estimate: Estimate, by: number): Measured => expanded({ ...estimate, value: estimate.value + by });

function match(
  plan: Plan,
  shoot: Shoot,
  positions: readonly Position[],
  measured: MeasuredShoot,
  start: number,
): Matching {
  return matchPlaces(
    positions.map((p) => ({
      id: p.id,
      at: p.at - start,
      ring: guidesAreOn(shoot.stage) ? ringOf(p.guide) : undefined,
      seen: (measured.shown[p.id]?.photos.length ?? 0) > 0,
    })),
    measured.places.map((p) => ({ ...p, forId: typeof p.byHand === 'string' ? p.byHand : undefined })),
    plan.blank.length,
  );
}

function patternsOf(
  plan: Plan,
  positions: readonly Position[],
  found: ReadonlyMap<string, MeasuredPlace>,
  measured: MeasuredShoot,
  start: number,
): Pattern[] {
  const tip = measured.tip ?? 0;
  const items = positions.flatMap((position) => {
    const place = found.get(position.id);
    if (!place) return [];
    const at = position.at - start;
    // What all places share must not count once more as each one's own.
    const own = place.along.u ** 2 - (measured.scale.u * place.along.value) ** 2 - tip ** 2;
    return [{ id: position.id, at, found: place.along.value, u: Math.sqrt(Math.max(own, 0.03 ** 2)) }];
  });
  return findPatterns(items, plan.blank.length, { scale: measured.scale.u, tip });
}

function foundItem(
  plan: Plan,
  shoot: Shoot,
  position: Position,
  place: MeasuredPlace,
  identity: GuideIdentity | undefined,
  { start, scale }: { start: number; scale: MeasuredScale },
): ReportItem {
  const along: Along = {
    ...shifted(place.along, start),
    ...(place.apart !== undefined && { apart: coverageFactor * place.apart }),
  };
  const item: ReportItem = {
    id: position.id,
    kind: position.kind,
    planned: position.at,
    found: true,
    sighting: 'found',
    along,
    alongVerdict: decide(along.value - position.at, judgedDoubt(place, scale), plan.tolerance.along),
  };
  if (guidesAreOn(shoot.stage)) {
    if (place.roll) item.roll = expanded(place.roll);
    if (position.guide?.roll) item.plannedRoll = position.guide.roll;
    const turned = turnedBy(item);
    item.rollVerdict = turned ? decide(turned.value, turned.expanded, plan.tolerance.roll) : 'unsure';
    if (place.height) item.height = expanded(place.height);
    if (place.ringOuter) item.ringOuter = expanded(place.ringOuter);
    if (place.ringInner) item.ringInner = expanded(place.ringInner);
    item.guideVerdict = identity?.verdict ?? 'unsure';
    if (isWrongWay(ringOf(position.guide), place)) item.setWrongWay = true;
    if (place.mark) item.mark = { along: shifted(place.mark, start), fromRing: place.along.value - place.mark.value };
  } else {
    if (place.width) item.width = expanded(place.width);
    if (place.colour !== undefined) item.colour = place.colour;
  }
  if (place.byHand) item.byHand = true;
  if (place.parts) item.uncertainty = place.parts;
  return item;
}

function lostItem({ id, kind, at }: Position, shown: PlaceShown | undefined): ReportItem {
  const sighting = sightingOfLost(shown);
  return {
    id,
    kind,
    planned: at,
    found: false,
    sighting,
    ...(sighting === 'not-there' && { bareIn: [...shown!.bare] }),
    alongVerdict: sighting === 'not-there' ? 'missing' : 'unsure',
  };
}

/** A single foot lies toward the butt of its ring unless the plan says otherwise (common practice, no source). */
const isWrongWay = (planned: RingGuide | undefined, { footToward }: MeasuredPlace): boolean =>
  planned?.foot === 'single' && footToward !== undefined && footToward !== (planned.footToward ?? 'butt');

/** The reference asked for gave no ring a roll; the rings' own line fails so only where a single ring is seen. */
function referenceMissing(shoot: Shoot, { places }: MeasuredShoot, items: readonly ReportItem[]): boolean {
  if (shoot.stage === 'marks' || !items.some((i) => i.found) || items.some((i) => i.roll)) return false;
  return shoot.rollReference !== 'guides' || places.filter((p) => p.roll).length === 1;
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

function extrasOf(
  shoot: Shoot,
  positions: readonly Position[],
  measured: MeasuredShoot,
  matching: Matching,
  start: number,
  display: LengthDisplay,
): ReportExtra[] {
  return matching.extra.map((index) => {
    const double = matching.doubled.find((d) => d.found === index);
    const extra: ReportExtra = {
      kind: shoot.stage === 'marks' ? 'mark' : 'ring',
      along: shifted(measured.places[index]!.along, start),
      ...(double && { doubleOf: positions[double.planned]!.id }),
    };
    return { ...extra, advice: adviceForExtra(extra, display) };
  });
}
