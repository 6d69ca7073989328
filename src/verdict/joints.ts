import type { Estimate } from '../numerics/estimate.ts';
import { jointsInOrder, pieceAt, piecesOf } from '../plan/pieces/pieces.ts';
import type { Plan } from '../plan/plan.ts';
import { guidesAreOn } from '../plan/shoot.ts';
import { commonRoll, wrapDegrees } from './common_roll.ts';
import { coverageFactor, decide } from './decision.ts';
import type { JointedPlace, JointedShoot } from './jointed_shoot.ts';
import { PieceOffsets, type PlaceOffset } from './piece_offsets.ts';
import { turnedBy } from './relative_rolls.ts';
import type { ReportItem, ReportJoint, ReportTipTop } from './report.ts';

/**
 * Rings sighted in by eye scatter about so much, degrees; marks and rings laid to a mark, mm. Common practice, no
 * source.
 */
const usualSetting = { roll: 0.5, along: 0.4 };

/** No guide's name can be it. */
const theTipTop = Symbol('tip-top');
type RingId = string | typeof theTipTop;

export interface JudgedJoints {
  joints: ReportJoint[];
  /** by the guide's id, how far it is turned against the rings of its own piece, degrees */
  ofItsOwn: ReadonlyMap<RingId, Estimate>;
}

/**
 * How the pieces of a rod put together lie against each other at each joint: turned, from what the rolls of one piece's
 * rings have in common against the other's, and lengthwise, from the offsets of their places. A last piece that carries
 * the reel seat and no ring is told by the seat's card.
 */
export function judgeJoints(plan: Plan, shoot: JointedShoot): JudgedJoints {
  const pieces = piecesOf(plan);
  if (pieces.length === 1) return { joints: [], ofItsOwn: new Map() };
  const rings = guidesAreOn(shoot.stage) ? turnedRings(shoot, pieces.length) : [];
  const rolls = new PieceOffsets(rings, { usual: usualSetting.roll, ofItsOwn: plan.tolerance.roll });
  const ringsOn = (piece: number) => rings.filter((ring) => ring.piece === piece && ring.id !== undefined).length;
  const along = new PieceOffsets(
    shoot.places.map(({ piece, along: offset }) => ({ piece, ...offset })),
    { usual: usualSetting.along, ofItsOwn: plan.tolerance.along },
  );
  const joints = jointsInOrder(plan).map(({ at }, k): ReportJoint => {
    const roll = rolls.difference(k + 1, k + 2);
    const step = along.difference(k + 2, k + 1);
    const apart = middleOf(shoot.places, k + 2) - middleOf(shoot.places, k + 1);
    return {
      joint: k + 1,
      at,
      ...(roll && { roll: { ...roll, value: wrapDegrees(roll.value) } }),
      ...(guidesAreOn(shoot.stage) && {
        rollVerdict: roll ? decide(wrapDegrees(roll.value), roll.expanded, plan.tolerance.roll) : 'unsure',
        rings: [ringsOn(k + 1), ringsOn(k + 2)] as [number, number],
      }),
      ...(step && { open: { value: step.value, expanded: Math.hypot(step.expanded, 2 * shoot.scale * apart) } }),
    };
  });
  return { joints, ofItsOwn: againstOwnPiece(rings, rolls) };
}

/** How far each ring is turned against what the rings of its piece have in common, degrees. */
const againstOwnPiece = (rings: readonly TurnedRing[], rolls: PieceOffsets): Map<RingId, Estimate> =>
  new Map(
    rings.flatMap(({ id, piece, value, u }): [RingId, Estimate][] => {
      const line = rolls.lineOf(piece);
      return id === undefined || !line ? [] : [[id, { value: value - line.value, u: Math.hypot(u, line.u) }]];
    }),
  );

interface TurnedRing extends PlaceOffset {
  /** none for the reel seat's card */
  id?: RingId;
}

/** The rings about their middle on the circle, so that they are numbers on a line. */
function turnedRings({ places, tipTop, seat }: JointedShoot, pieces: number): TurnedRing[] {
  const rings: TurnedRing[] = places.flatMap(({ id, piece, turned }) => (turned ? [{ id, piece, ...turned }] : []));
  if (tipTop) rings.unshift({ id: theTipTop, piece: 1, ...tipTop });
  const told = seat && !rings.some(({ piece }) => piece === pieces) ? [...rings, { piece: pieces, ...seat }] : rings;
  const middle = commonRoll(told)?.value ?? told[0]?.value ?? 0;
  return told.map((ring) => ({ ...ring, value: wrapDegrees(ring.value - middle) }));
}

function middleOf(places: readonly JointedPlace[], piece: number): number {
  const own = places.filter((place) => place.piece === piece);
  return own.reduce((sum, { at }) => sum + at, 0) / Math.max(own.length, 1);
}

/**
 * The joint that is to be turned instead of this ring: one that is off, where the ring is in line with its own piece,
 * and the piece is what is turned.
 */
export function joinedTurn(item: ReportItem, judged: JudgedJoints, plan: Plan): number | undefined {
  const turned = turnedBy(item);
  if (item.rollVerdict === 'on' || !turned) return undefined;
  return jointToTurn(item.id, turned.value, pieceAt(piecesOf(plan), item.planned).number, judged, plan);
}

function jointToTurn(
  id: RingId,
  turned: number,
  piece: number,
  { joints, ofItsOwn }: JudgedJoints,
  { tolerance }: Plan,
): number | undefined {
  const off = joints.filter(({ rollVerdict }) => rollVerdict === 'off');
  const own = ofItsOwn.get(id);
  if (off.length === 0 || !own || decide(own.value, coverageFactor * own.u, tolerance.roll) === 'off') return undefined;
  if (Math.abs(wrapDegrees(turned - own.value)) <= tolerance.roll / 2) return undefined;
  return (off.find(({ joint }) => joint === piece || joint === piece - 1) ?? off[0])?.joint;
}

/** A tip-top that is turned with its piece is to be left as it is glued. */
export function tipTopInLine(tipTop: ReportTipTop, judged: JudgedJoints, plan: Plan): ReportTipTop {
  if (!tipTop.roll || tipTop.rollVerdict === 'on') return tipTop;
  const turned = tipTop.roll.value - (plan.tipTop?.roll ?? 0);
  const joint = jointToTurn(theTipTop, turned, 1, judged, plan);
  if (joint === undefined) return tipTop;
  return { ...tipTop, turnedByJoint: joint, advice: turnJoint(joint) };
}

/** What to do where a joint is what is turned. */
export const turnJoint = (joint: number): string => `Turn piece ${joint} in its joint, and take new photos.`;

/** The cause of rolls that a joint explains. */
export const jointCause = (piece: number): string =>
  `All rings of piece ${piece} are turned alike: the joint is turned, not each of them.`;
