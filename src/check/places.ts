import { axisSigmaAt } from '../adjust/blank_adjustment.ts';
import type { FittedRing } from '../adjust/fitted_ring.ts';
import type { FittedMark } from '../adjust/mark_fit.ts';
import { marksNearRings } from '../adjust/marks_near_rings.ts';
import { crossSection } from '../geometry/blank_axis.ts';
import { addScaled } from '../geometry/vector.ts';
import { sigmaOf } from '../numerics/covariance.ts';
import type { Plan } from '../plan/plan.ts';
import type { MeasuredPlace } from '../verdict/measured_shoot.ts';
import type { Measuring } from './measuring.ts';
import { alongWithDoubt, type RingCentre, ringPlace } from './place_doubt.ts';
import type { RollZero } from './roll_zero.ts';

/** The rings as places with all their doubt, each with the mark seen beside it. */
export function ringPlaces(
  plan: Plan,
  rings: readonly FittedRing[],
  marks: readonly FittedMark[],
  zero: RollZero,
  measuring: Measuring,
): MeasuredPlace[] {
  const others = plan.positions.filter((p) => p.kind !== 'guide').map((p) => p.at - measuring.start);
  const beside = marksNearRings(
    marks,
    rings.map((ring) => ring.along),
    others,
  );
  return rings.map((ring, i): MeasuredPlace => {
    const mark = beside[i];
    return {
      ...ringPlace(ringCentre(ring), zero, measuring),
      ringOuter: { value: ring.ringOuter, u: sigmaOf(ring.covariance, 'ringOuter') },
      ...(ring.footToward && { footToward: ring.footToward }),
      // No rim anywhere holds to what the photos were taken to show: it may be something else.
      ...(ring.edges === 0 && { typeDoubted: true }),
      ...(mark ? { mark: markPlace(mark.mark, measuring).along } : {}),
    };
  });
}

/** A measured ring's centre with the doubt of reading it. */
export function ringCentre(ring: FittedRing): RingCentre {
  return {
    along: { value: ring.along, u: sigmaOf(ring.covariance, 'along') },
    right: { value: ring.right, u: sigmaOf(ring.covariance, 'right') },
    up: { value: ring.up, u: sigmaOf(ring.covariance, 'up') },
    centre: ring.centre,
    views: ring.views,
  };
}

/** The height of a mark is known no better than this, mm. */
const leastHeight = 0.05;

/** A mark as a place with all its doubt. */
export function markPlace(mark: FittedMark, measuring: Measuring): MeasuredPlace {
  const { blank, views } = measuring;
  const section = crossSection(blank.axis, mark.along.value);
  const point = addScaled(section.point, section.up, section.radius);
  const height = axisSigmaAt(blank, mark.along.value).height;
  const reading = Math.hypot(mark.along.u, mark.perHeight * height);
  const along = alongWithDoubt(
    { value: mark.along.value, u: reading },
    point,
    mark.views.map((v) => views.photo[v]!),
    { own: Math.max(height, leastHeight) },
    measuring,
  );
  return { ...along, width: mark.width, colour: mark.colour };
}
