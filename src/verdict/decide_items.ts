import type { Plan, Position, RingGuide } from '../plan/plan.ts';
import { ringOf } from '../plan/plan.ts';
import { guidesAreOn, type Shoot } from '../plan/shoot.ts';
import { coverageFactor, type Decision, decide } from './decision.ts';
import { expanded, shifted } from './expanded.ts';
import type { GuideIdentity } from './guide_identity.ts';
import { judgedDoubt } from './judged_doubt.ts';
import type { Matched } from './match_measured.ts';
import type { MeasuredPlace, MeasuredScale, MeasuredShoot, PlaceShown } from './measured_shoot.ts';
import { turnedBy } from './relative_rolls.ts';
import type { Along, ReportItem } from './report.ts';
import { isMostlyUnclear, sightingOfLost } from './sighting.ts';

/**
 * Each planned place with what was found there and what that decides; no causes and no advice yet. Where most places
 * are not made out, what shows bare may not be the blank and what was found something else: nothing is said to be
 * missing, and nothing is to be moved. Nor is where not one mark shows.
 */
export function decideItems(
  plan: Plan,
  shoot: Shoot,
  { positions, start, found, identities }: Matched,
  { scale, shown }: MeasuredShoot,
): ReportItem[] {
  const decided = (doubted: boolean) =>
    positions.map((position) => {
      const { id } = position;
      const [place, own] = [found.get(id), shown[id]];
      if (!place) return lostItem(position, doubted && own ? { ...own, bare: [] } : own);
      const judging = { plan, shoot, start, scale };
      return doubted
        ? foundItem(judging, position, { ...place, typeDoubted: true }, undefined)
        : foundItem(judging, position, place, identities.get(id));
    });
  const items = decided(false);
  return isMostlyUnclear(items) || mayBeUnseen(shoot, items) ? decided(true) : items;
}

/** A blank without a single mark looks like one with marks of its own colour. */
const mayBeUnseen = ({ stage }: Shoot, items: readonly ReportItem[]): boolean =>
  stage === 'marks' && items.length > 1 && items.every(({ found }) => !found);

/** What every place is judged by: `start` = where along the blank the plan counts from, mm. */
interface Judging {
  plan: Plan;
  shoot: Shoot;
  start: number;
  scale: MeasuredScale;
}

function foundItem(
  { plan, shoot, start, scale }: Judging,
  position: Position,
  place: MeasuredPlace,
  identity: GuideIdentity | undefined,
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
    alongVerdict: ordered(place, decide(along.value - position.at, judgedDoubt(place, scale), plan.tolerance.along)),
  };
  if (guidesAreOn(shoot.stage)) {
    if (place.roll) item.roll = expanded(place.roll);
    if (position.guide?.roll) item.plannedRoll = position.guide.roll;
    const turned = turnedBy(item);
    item.rollVerdict =
      turned && turned.expanded <= mostRollDoubt
        ? ordered(place, decide(turned.value, turned.expanded, plan.tolerance.roll))
        : 'unsure';
    if (place.height) item.height = expanded(place.height);
    if (place.ringOuter) item.ringOuter = expanded(place.ringOuter);
    if (place.ringInner) item.ringInner = expanded(place.ringInner);
    item.guideVerdict = identity?.verdict ?? 'unsure';
    if (!place.typeDoubted && isWrongWay(ringOf(position.guide), place)) item.setWrongWay = true;
    if (place.mark) item.mark = { along: shifted(place.mark, start), fromRing: place.along.value - place.mark.value };
  } else {
    if (place.width) item.width = expanded(place.width);
    if (place.colour !== undefined) item.colour = place.colour;
  }
  if (place.byHand) item.byHand = true;
  if (place.parts) item.uncertainty = place.parts;
  return item;
}

/**
 * Nothing is turned by a roll known no better than this, degrees: its doubt is reckoned to the first order, which does
 * not hold for an angle so open (JCGM 100:2008, 5.1.2, note; from memory).
 */
const mostRollDoubt = 15;

/** Nothing is to be moved or turned by a sighting that may be of something else. */
const ordered = ({ typeDoubted }: MeasuredPlace, decision: Decision): Decision =>
  typeDoubted && decision === 'off' ? 'unsure' : decision;

function lostItem({ id, kind, at }: Position, shown: PlaceShown | undefined): ReportItem {
  const sighting = sightingOfLost(shown);
  return {
    id,
    kind,
    planned: at,
    found: false,
    sighting,
    ...(sighting === 'not-there' && { bareIn: [...shown!.bare] }),
    ...(sighting === 'not-made-out' && allCovered(shown!) && { coveredIn: [...shown!.covered] }),
    alongVerdict: sighting === 'not-there' ? 'missing' : 'unsure',
  };
}

/** Every photo of a place has something else over it. */
const allCovered = ({ photos, covered }: PlaceShown): boolean => photos.every((photo) => covered.includes(photo));

/** A single foot lies toward the butt of its ring unless the plan says otherwise (common practice, no source). */
const isWrongWay = (planned: RingGuide | undefined, { footToward }: MeasuredPlace): boolean =>
  planned?.foot === 'single' && footToward !== undefined && footToward !== (planned.footToward ?? 'butt');
