import type { Stretch } from '../stretch.ts';
import { InputError } from '../input_error.ts';
import { type Joint, type Plan, planStart } from '../plan.ts';
import type { Shoot } from '../shoot.ts';
import { blankDiameter } from '../taper.ts';
import { buttSideOf, endsAt, type PieceEnd, reachAt } from './joint.ts';

/** One piece of a rod; mm counted as the plan's positions, along the rod put together. */
export interface Piece {
  /** 1 is the piece with the tip */
  number: number;
  of: number;
  /** from end to end, a spigot that stands out included */
  from: number;
  to: number;
  /** what of it shows on the rod put together: where something can be wrapped */
  outside: Stretch;
  tipSide: PieceEnd;
  buttSide: PieceEnd;
}

/** The joints of a plan from tip to butt. */
export const jointsInOrder = ({ joints = [] }: Pick<Plan, 'joints'>): Joint[] => joints.toSorted((a, b) => a.at - b.at);

/** The pieces of a rod from tip to butt; a plan without joints, or for one section, has a single one. */
export function piecesOf(plan: Pick<Plan, 'blank' | 'joints' | 'section' | 'datum' | 'tipTop'>): Piece[] {
  const { section } = plan;
  const joints = jointsInOrder(plan);
  const start = planStart(plan);
  const end = start + plan.blank.length;
  if (!section)
    return Array.from({ length: joints.length + 1 }, (_, k) => ({
      number: k + 1,
      of: joints.length + 1,
      ...between(joints[k - 1], joints[k], { from: start, to: end }),
    }));
  const before = joints.find((joint) => isSame(reachAt(joint).buttPieceFrom, start));
  const after = joints.find((joint) => isSame(reachAt(joint).tipPieceTo, end));
  const piece = between(before, after, { from: start, to: end });
  const tipSide = !before && section.startsAt > 0 ? 'ferrule' : piece.tipSide;
  return [{ number: section.piece ?? 1, of: section.of ?? 1, ...piece, tipSide }];
}

/** What lies between two joints, or between one and the end of the rod. */
function between(before: Joint | undefined, after: Joint | undefined, rod: Stretch): Omit<Piece, 'number' | 'of'> {
  return {
    from: before ? reachAt(before).buttPieceFrom : rod.from,
    to: after ? reachAt(after).tipPieceTo : rod.to,
    outside: { from: before ? buttSideOf(before) : rod.from, to: after ? after.at : rod.to },
    tipSide: before ? endsAt(before).buttPiece : 'tip',
    buttSide: after ? endsAt(after).tipPiece : 'butt',
  };
}

/** Whether two lengths are the same but for their way through a file, mm. */
const isSame = (a: number, b: number): boolean => Math.abs(a - b) < 0.01;

/**
 * The piece a place lies on. Where two meet it is the one nearer the butt; a place in a gap, where nothing can be
 * wrapped, counts to the one nearer the tip.
 */
export const pieceAt = (pieces: readonly Piece[], at: number): Piece =>
  pieces.findLast(({ outside }) => at >= outside.from) ?? pieces[0]!;

/**
 * The plan of one piece, to mark and check it by itself: the places on it, its own length from end to end, where it
 * starts, and the joints at its ends. Distances go on counting as the whole plan's do. Throws InputError where there is
 * no such piece.
 */
export function planOfPiece(plan: Plan, number: number): Plan {
  const pieces = piecesOf(plan);
  const piece = pieces.find((one) => one.number === number);
  if (!piece || pieces.length === 1) throw new InputError(noSuchPiece(plan, pieces, number));
  const { joints = [], tipTop, datum, fittings, ...whole } = plan;
  const start = planStart(plan);
  const own = (fittings ?? []).filter(({ from, to }) => from < piece.outside.to && to > piece.outside.from);
  const hasTip = number === 1;
  return {
    ...whole,
    title: pieceTitle(plan.title, piece),
    blank: {
      ...plan.blank,
      length: piece.to - piece.from,
      tipDiameter: blankDiameter(plan.blank, piece.from, start),
      buttDiameter: blankDiameter(plan.blank, piece.to, start),
    },
    positions: plan.positions.filter(({ at }) => pieceAt(pieces, at) === piece),
    // the piece with the tip-top counts from it by itself, the others from where it was planned
    section: { startsAt: hasTip ? 0 : piece.from, piece: number, of: piece.of },
    joints: jointsInOrder({ joints }).slice(Math.max(number - 2, 0), number),
    ...(own.length > 0 && { fittings: own }),
    ...(hasTip && tipTop && { tipTop }),
    ...(hasTip && datum && { datum }),
  };
}

export const pieceTitle = (title: string, { number, of }: Pick<Piece, 'number' | 'of'>): string =>
  // a name in a file has at most 200 letters
  `${title.slice(0, 180)}, piece ${number} of ${of}`;

function noSuchPiece({ section }: Plan, pieces: readonly Piece[], number: number): string {
  if (section)
    return `The plan is for one piece by itself, not for piece ${number}: take the plan of the whole rod, or of that piece.`;
  return pieces.length === 1
    ? `The plan has no joints, so there is no piece ${number} of it: add "joints" to it, or leave the piece out.`
    : `The plan has ${pieces.length} pieces, and none is number ${number}: count them from the tip.`;
}

/**
 * The plan of what lies on the mat: of one piece where the shoot says so, else the plan as it is. Throws InputError.
 */
export const planOnMat = (plan: Plan, { piece }: Pick<Shoot, 'piece'>): Plan =>
  piece === undefined || plan.section?.piece === piece ? plan : planOfPiece(plan, piece);
