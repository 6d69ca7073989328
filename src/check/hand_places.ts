import { axisSigmaAt } from '../adjust/blank_adjustment.ts';
import { handMark, type HandRing, handRing, type PointedPhoto } from '../adjust/hand_fit.ts';
import { crossSection } from '../geometry/blank_axis.ts';
import { addScaled } from '../geometry/vector.ts';
import { InputError } from '../plan/input_error.ts';
import { type Plan, type Position, ringOf } from '../plan/plan.ts';
import type { Shoot } from '../plan/shoot.ts';
import type { MeasuredPlace } from '../verdict/measured_shoot.ts';
import type { Measuring } from './measuring.ts';
import { alongWithDoubt, ringPlace } from './place_doubt.ts';
import type { RollZero } from './roll_zero.ts';
import { shownName } from '../plan/shown_name.ts';

/** An item set by hand: its place, and the circle through its points where it is a ring. */
export interface HandSet {
  id: string;
  place: MeasuredPlace;
  ring?: HandRing & { ringOuter: number };
}

/**
 * What the builder pointed out: each item as a place of its own, which stands for whatever the detector made of that
 * place. Throws InputError when the points give no place.
 */
export function handPlaces(plan: Plan, shoot: Shoot, zero: RollZero, measuring: Measuring): HandSet[] {
  const { views } = measuring;
  const ids = [...new Set((shoot.byHand ?? []).map((place) => place.id))];
  return ids.map((id): HandSet => {
    const position = plan.positions.find((p) => p.id === id);
    if (!position)
      throw new InputError(
        `shoot.json sets ${shownName(id)} by hand, but the plan has no such item: take it out, or add it to the plan.`,
      );
    const pointed = shoot
      .byHand!.filter((place) => place.id === id)
      .map(({ photo, points }) => ({ view: views.list.findIndex((view) => view.photo.file === photo), points }))
      .filter(({ view }) => view >= 0);
    return shoot.stage === 'marks'
      ? markByHand(id, pointed, measuring)
      : ringByHand(position, pointed, zero, measuring);
  });
}

function markByHand(id: string, pointed: readonly PointedPhoto[], measuring: Measuring): HandSet {
  const { views, blank } = measuring;
  const mark = handMark(cameras(measuring), blank.axis, pointed);
  if (!mark)
    throw new InputError(
      `The place set by hand for ${shownName(id)} lies nowhere on the blank: point at the mark's middle again.`,
    );
  const section = crossSection(blank.axis, mark.value);
  const point = addScaled(section.point, section.up, section.radius);
  const photos = mark.views.map((view) => views.photo[view]!);
  const height = axisSigmaAt(blank, mark.value).height;
  return { id, place: { ...alongWithDoubt(mark, point, photos, { own: height }, measuring), byHand: id } };
}

function ringByHand(
  { id, guide: planned }: Position,
  pointed: readonly PointedPhoto[],
  zero: RollZero,
  measuring: Measuring,
): HandSet {
  const guide = ringOf(planned);
  if (!guide)
    throw new InputError(
      `${shownName(id)} is a guide without a ring, so it cannot be set by hand: take it out of byHand.`,
    );
  const ring = handRing(cameras(measuring), measuring.blank.axis, guide, pointed);
  if (!ring)
    throw new InputError(
      `The points set by hand for ${shownName(id)} give no ring: set at least three, spread round its outer rim.`,
    );
  return {
    id,
    place: { ...ringPlace(ring, zero, measuring), byHand: id },
    ring: { ...ring, ringOuter: guide.ringOuter },
  };
}

const cameras = ({ views }: Measuring) => views.list.map((view) => view.camera);

/** The detected places, with those that were set by hand in their stead. */
export function withHandPlaces(detected: readonly MeasuredPlace[], byHand: readonly HandSet[]): MeasuredPlace[] {
  return [...detected.filter((place) => !isReplaced(place.along.value, byHand)), ...byHand.map(({ place }) => place)];
}

/** What is pointed out stands for what was detected this near, mm: nearer than two marks or guides ever stand. */
const handReach = 5;

/**
 * Whether a place set by hand stands for what was detected at an arc length, mm: it does for what lies within reach.
 */
export function isReplaced(along: number, byHand: readonly HandSet[]): boolean {
  return byHand.some(({ place }) => Math.abs(place.along.value - along) < handReach);
}
