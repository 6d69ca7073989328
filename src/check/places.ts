import { axisSigmaAt, type BlankSolution } from '../adjust/blank_adjustment.ts';
import type { FittedRing } from '../adjust/fit_rings.ts';
import type { FittedMark } from '../adjust/mark_fit.ts';
import { marksNearRings } from '../adjust/marks_near_rings.ts';
import { handMark, type HandRing, handRing } from '../adjust/hand_fit.ts';
import type { MatSolution } from '../adjust/mat_adjustment.ts';
import { type MatDoubt, placeDoubt } from '../adjust/propagation.ts';
import { seatCardRoll } from '../adjust/seat_card.ts';
import { fitSpineLine, type SpineLine } from '../adjust/spine_fit.ts';
import type { PlacedViews } from './check_photos.ts';
import { blankRadius, crossSection } from '../geometry/blank_axis.ts';
import { addScaled, type Vector3 } from '../geometry/vector.ts';
import { InputError } from '../plan/input_error.ts';
import type { Plan } from '../plan/plan.ts';
import type { Shoot } from '../plan/shoot.ts';
import type { Estimate, MeasuredPlace } from '../verdict/measured_shoot.ts';
import type { UncertaintyParts } from '../verdict/report.ts';
import { markRange } from '../vision/grip_start.ts';

/** Everything the photos gave beside the rings and marks themselves. */
export interface Measuring {
  mat: MatSolution;
  blank: BlankSolution;
  doubt: MatDoubt;
  /** relative standard uncertainty of lengths along */
  scale: number;
  views: PlacedViews;
}

/** What roll is counted from, bench zero; undefined when the reference was not seen or is the rings themselves. */
export interface RollZero {
  roll?: Estimate;
  spine?: SpineLine;
  notes: string[];
}

/** How well a rim or a mark's edge is read in one photo, pixels. */
const readingSigma = 0.3;
/** A shadow or a glossy limb shifts both outlines together by this much, mm: no fit can see it. */
const outlineBias = 0.04;

/**
 * One photo has no second opinion on a line: a highlight beside it, or a shadow that shifts both outlines, turns it by this
 * much unseen, degrees.
 */
const spineFromOne = 1.5;

const degrees = (radians: number): number => (radians * 180) / Math.PI;

/** The roll reference the builder chose, measured. */
export function rollZero(shoot: Shoot, measuring: Measuring): RollZero {
  const { mat, blank, doubt, views } = measuring;
  if (shoot.rollReference === 'seat-card') {
    const card = seatCardRoll(mat, blank, blank.axis, doubt);
    if (!card)
      return {
        notes: [
          'The seat card was not seen, so roll could not be judged: one more photo over the reel seat, with both squares of the card in view.',
        ],
      };
    const apart = Math.abs(card.byTilt.value - card.byPlace.value);
    const notes =
      apart > 3 * Math.hypot(card.byTilt.u, card.byPlace.u)
        ? [
            `The seat card leans ${apart.toFixed(1)} degrees against its own place over the rod: seat it like a reel's foot and shoot again.`,
          ]
        : [];
    return {
      roll: { value: card.roll.value, u: notes.length > 0 ? Math.max(card.roll.u, apart / 2) : card.roll.u },
      notes,
    };
  }
  if (shoot.rollReference === 'spine-line') {
    const spine = fitSpineLine(views.list, blank.axis, {
      range: markRange(views.list, blank.axis),
      axisAcross: outlineBias,
    });
    if (!spine)
      return {
        notes: [
          'The spine line was not found, so roll could not be judged: draw it 30 mm or longer where the photos see it, and shoot again.',
        ],
      };
    const middle = (spine.from + spine.to) / 2;
    const across = axisSigmaAt(blank, middle).side / blankRadius(blank.axis, middle);
    const alone = spine.views.length === 1 ? spineFromOne : 0;
    return { roll: { value: spine.roll.value, u: Math.hypot(spine.roll.u, degrees(across), alone) }, spine, notes: [] };
  }
  return { notes: [] };
}

/** The rings as places with all their doubt, each with the mark seen beside it. */
export function ringPlaces(
  plan: Plan,
  shoot: Shoot,
  rings: readonly FittedRing[],
  marks: readonly FittedMark[],
  zero: RollZero,
  measuring: Measuring,
): MeasuredPlace[] {
  const others = plan.positions.filter((p) => p.kind !== 'guide').map((p) => p.at - (plan.section?.startsAt ?? 0));
  const beside = marksNearRings(
    marks,
    rings.map((ring) => ring.along),
    others,
  );
  return rings.map((ring, i): MeasuredPlace => {
    const axis = axisSigmaAt(measuring.blank, ring.along);
    const reading = Math.sqrt(ring.covariance[0]!);
    const up = Math.sqrt(ring.covariance[10]!);
    const heightDoubt = Math.hypot(up, axis.height);
    const along = withDoubt(
      ring.along,
      reading,
      ring.centre,
      ring.photos.map((v) => measuring.views.photo[v]!),
      heightDoubt,
      measuring,
    );
    const lever = Math.hypot(ring.right, ring.up);
    const sideways = Math.hypot(Math.sqrt(ring.covariance[5]!), axis.side, outlineBias);
    const rollU = Math.hypot(degrees(sideways / lever), zero.roll?.u ?? 0);
    const mark = beside[i];
    return {
      ...along,
      ...(shoot.rollReference === 'guides' || zero.roll
        ? { roll: { value: ring.roll - (zero.roll?.value ?? 0), u: rollU } }
        : {}),
      height: { value: ring.height, u: Math.hypot(up, axis.height) },
      ringOuter: { value: ring.ringOuter, u: Math.sqrt(ring.covariance[15]!) },
      ...(mark ? { mark: markPlace(mark.mark, measuring).along } : {}),
    };
  });
}

/** A mark as a place with all its doubt. */
export function markPlace(mark: FittedMark, measuring: Measuring): MeasuredPlace {
  const { blank, views } = measuring;
  const section = crossSection(blank.axis, mark.along.value);
  const point = addScaled(section.point, section.up, section.radius);
  const height = axisSigmaAt(blank, mark.along.value).height;
  const reading = Math.hypot(mark.along.u, mark.perHeight * height);
  const along = withDoubt(
    mark.along.value,
    reading,
    point,
    mark.views.map((v) => views.photo[v]!),
    Math.max(height, 0.05),
    measuring,
  );
  return { ...along, width: mark.width, colour: mark.colour };
}

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
  const { views, blank } = measuring;
  const cameras = views.list.map((view) => view.camera);
  const ids = [...new Set((shoot.byHand ?? []).map((place) => place.id))];
  return ids.map((id): HandSet => {
    const position = plan.positions.find((p) => p.id === id);
    if (!position)
      throw new InputError(
        `shoot.json sets ${id} by hand, but the plan has no such item: take it out, or add it to the plan.`,
      );
    const pointed = shoot
      .byHand!.filter((place) => place.id === id)
      .map(({ photo, points }) => ({ view: views.list.findIndex((view) => view.photo.file === photo), points }))
      .filter(({ view }) => view >= 0);
    if (shoot.stage === 'marks') {
      const mark = handMark(cameras, blank.axis, pointed);
      if (!mark)
        throw new InputError(
          `The place set by hand for ${id} lies nowhere on the blank: point at the mark's middle again.`,
        );
      const section = crossSection(blank.axis, mark.value);
      const point = addScaled(section.point, section.up, section.radius);
      const photos = mark.views.map((view) => views.photo[view]!);
      const doubted = withDoubt(mark.value, mark.u, point, photos, axisSigmaAt(blank, mark.value).height, measuring);
      return { id, place: { ...doubted, byHand: id } };
    }
    const ring = position.guide && handRing(cameras, blank.axis, position.guide, pointed);
    if (!ring)
      throw new InputError(
        `The points set by hand for ${id} give no ring: set at least three, spread round its outer rim.`,
      );
    const axis = axisSigmaAt(blank, ring.along.value);
    const photos = ring.views.map((view) => views.photo[view]!);
    const lever = Math.hypot(ring.right.value, ring.up.value);
    const sideways = Math.hypot(ring.right.u, axis.side, outlineBias);
    const roll = degrees(Math.atan2(ring.right.value, ring.up.value));
    const place: MeasuredPlace = {
      ...withDoubt(ring.along.value, ring.along.u, ring.centre, photos, Math.hypot(ring.up.u, axis.height), measuring),
      ...(shoot.rollReference === 'guides' || zero.roll
        ? {
            roll: {
              value: roll - (zero.roll?.value ?? 0),
              u: Math.hypot(degrees(sideways / lever), zero.roll?.u ?? 0),
            },
          }
        : {}),
      height: { value: lever - blankRadius(blank.axis, ring.along.value), u: Math.hypot(ring.up.u, axis.height) },
      byHand: id,
    };
    return { id, place, ring: { ...ring, ringOuter: position.guide!.ringOuter } };
  });
}

/** Whether a place set by hand stands for what was detected at an arc length, mm: it does for what lies within reach. */
export function isReplaced(along: number, byHand: readonly HandSet[]): boolean {
  const reach = 5;
  return byHand.some(({ place }) => Math.abs(place.along.value - along) < reach);
}

function withDoubt(
  value: number,
  reading: number,
  point: Vector3,
  photos: readonly number[],
  heightSigma: number,
  { mat, blank, doubt, scale }: Measuring,
): { along: Estimate; parts: UncertaintyParts } {
  const { along } = crossSection(blank.axis, value);
  const { geometry, crossing } = placeDoubt(mat, doubt, point, along, photos, heightSigma, readingSigma);
  const parts: UncertaintyParts = {
    scale: scale * value,
    // What the covariance gives holds the scale's share already.
    geometry: Math.sqrt(Math.max(geometry ** 2 - (scale * value) ** 2, 0)),
    reading: Math.max(reading, crossing),
    tip: blank.tipSigma,
  };
  return { along: { value, u: Math.hypot(parts.scale, parts.geometry, parts.reading, parts.tip) }, parts };
}
