import { axisSigmaAt, type BlankSolution } from './adjust/blank_adjustment.ts';
import type { FittedRing } from './adjust/fit_rings.ts';
import type { FittedMark } from './adjust/mark_fit.ts';
import { marksNearRings } from './adjust/marks_near_rings.ts';
import type { MatSolution } from './adjust/mat_adjustment.ts';
import { type MatDoubt, placeDoubt } from './adjust/propagation.ts';
import { seatCardRoll } from './adjust/seat_card.ts';
import { fitSpineLine, type SpineLine } from './adjust/spine_fit.ts';
import type { PlacedViews } from './check_photos.ts';
import { crossSection } from './geometry/blank_axis.ts';
import { addScaled, type Vector3 } from './geometry/vector.ts';
import type { Plan } from './plan/plan.ts';
import type { Shoot } from './plan/shoot.ts';
import type { Estimate, MeasuredPlace, UncertaintyParts } from './verdict/measured_shoot.ts';
import { markRange } from './vision/grip_start.ts';

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

/** Rounded, shiny rims may be read a little off in all photos alike, mm. */
const rimBias = 0.06;

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
    return { roll: spine.roll, spine, notes: [] };
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
    const reading = Math.hypot(Math.sqrt(ring.covariance[0]!), rimBias);
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
    const sideways = Math.hypot(Math.sqrt(ring.covariance[5]!), rimBias, axis.side, outlineBias);
    const rollU = Math.hypot((sideways / lever) * (180 / Math.PI), zero.roll?.u ?? 0);
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
