import type { Joint } from '../plan.ts';

/** The most pieces a rod comes apart into here. */
export const mostPieces = 5;

/** The end of a piece, as a tape is laid to it; a ferrule where the plan of a section does not say more. */
export type PieceEnd = 'tip' | 'butt' | 'ferrule' | 'opening' | 'spigot' | 'end that goes in';

/** Where the outside of the piece nearer the butt begins, mm as the joint's own place. */
export const buttSideOf = ({ at, gap = 0 }: Joint): number => at + gap;

/**
 * How far the pieces reach at a joint, spigot included: the one nearer the tip to, the one nearer the butt from; mm.
 */
export function reachAt(joint: Joint): { tipPieceTo: number; buttPieceFrom: number } {
  return joint.inner === 'tip'
    ? { tipPieceTo: joint.at + joint.length, buttPieceFrom: buttSideOf(joint) }
    : { tipPieceTo: joint.at, buttPieceFrom: buttSideOf(joint) - joint.length };
}

/** The stretch of the rod put together over which something lies inside, a gap included; mm. */
export function jointStretch(joint: Joint): { from: number; to: number } {
  const { tipPieceTo, buttPieceFrom } = reachAt(joint);
  return { from: Math.min(buttPieceFrom, joint.at), to: Math.max(tipPieceTo, buttSideOf(joint)) };
}

/** What the two pieces end in. */
export function endsAt({ kind, inner = 'butt' }: Joint): { tipPiece: PieceEnd; buttPiece: PieceEnd } {
  const going: PieceEnd = kind === 'spigot' ? 'spigot' : 'end that goes in';
  return inner === 'tip' ? { tipPiece: going, buttPiece: 'opening' } : { tipPiece: 'opening', buttPiece: going };
}
