import type { Estimate } from '../numerics/estimate.ts';
import { pieceAt, piecesOf } from '../plan/pieces/pieces.ts';
import type { Plan, Position } from '../plan/plan.ts';
import type { Shoot, Stage } from '../plan/shoot.ts';
import type { Matching } from './match.ts';
import type { MeasuredShoot } from './measured_shoot.ts';

/** One place found on a rod put together, against its plan. */
export interface JointedPlace {
  id: string;
  piece: number;
  /** measured mm along less planned, without what all places share */
  along: Estimate;
  /** mm along the blank */
  at: number;
  /** measured roll less planned, degrees, from any common zero, without the zero's own doubt */
  turned?: Estimate;
}

export interface JointedShoot {
  stage: Stage;
  places: readonly JointedPlace[];
  /** how far the tip-top is turned, as the places */
  tipTop?: Estimate;
  /** the roll of the reel seat's card, where it is the reference, from the same zero */
  seat?: Estimate;
  /** relative standard uncertainty of the scale, as places are judged by */
  scale: number;
}

/** What tells how the pieces of a rod put together lie against each other. */
export function jointedShoot(
  plan: Plan,
  { stage, rollReference }: Shoot,
  {
    measured,
    matching,
    positions,
    start,
  }: { measured: MeasuredShoot; matching: Matching; positions: readonly Position[]; start: number },
): JointedShoot {
  const pieces = piecesOf(plan);
  const { rollZero = 0, scale, tip = 0 } = measured;
  const apart = (value: number, shared: number) => Math.sqrt(Math.max(value ** 2 - shared ** 2, 0));
  const places = matching.pairs.map(({ planned, found }): JointedPlace => {
    const { id, at, guide } = positions[planned]!;
    const { along, apart: own = along.u, roll } = measured.places[found]!;
    return {
      id,
      piece: pieceAt(pieces, at).number,
      at: along.value,
      along: { value: along.value + start - at, u: apart(own, tip) },
      ...(roll && { turned: { value: roll.value - (guide?.roll ?? 0), u: apart(roll.u, rollZero) } }),
    };
  });
  const { roll } = measured.tipTop ?? {};
  const turned = roll && { value: roll.value - (plan.tipTop?.roll ?? 0), u: apart(roll.u, rollZero) };
  return {
    stage,
    places,
    ...(turned && { tipTop: turned }),
    scale: scale.tape ?? scale.u,
    ...(rollReference === 'seat-card' && places.some(({ turned }) => turned) && { seat: { value: 0, u: rollZero } }),
  };
}
