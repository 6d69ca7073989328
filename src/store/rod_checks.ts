import { guidesAreOn } from '../plan/shoot.ts';
import { planOfPiece } from '../plan/pieces/pieces.ts';
import type { BuildDocument, KeptCheck } from './build.ts';
import { isCurrent, isSame } from './is_current.ts';
import { pieceCount, pieceInHand } from './plan_in_hand.ts';

/** A part of a rod that is checked by itself, and what its last check says. */
export interface CheckedPart {
  /** counted from the tip; undefined for the rod put together */
  piece?: number;
  /** whether guides are planned on it */
  guides: boolean;
  check?: KeptCheck;
  /** the check speaks of the part as it is planned now, and of the photos in hand where these are of it */
  standing: boolean;
}

/**
 * The rod's pieces from tip to butt and then the rod put together, each with its last check: of the guides, or of the
 * marks where there is none yet. Empty for a rod in one piece.
 *
 * @param checks the last one first
 */
export function checkedParts(document: BuildDocument, checks: readonly KeptCheck[]): CheckedPart[] {
  const count = pieceCount(document.plan);
  if (count === 1) return [];
  const inHand = pieceInHand(document);
  return [...Array.from({ length: count }, (_, k) => k + 1), undefined].map((piece): CheckedPart => {
    // a bare blank that was measured says nothing of what is set on it
    const own = checks.filter(({ shoot, report }) => shoot.piece === piece && report.stage !== 'blank');
    const check = own.find(({ report }) => guidesAreOn(report.stage)) ?? own[0];
    const plan = piece === undefined ? document.plan : planOfPiece(document.plan, piece);
    const standing =
      check !== undefined &&
      (piece === inHand && own[0] === check ? isCurrent(check, document) : isSame(check.plan, plan));
    const guides = plan.positions.some(({ guide }) => guide);
    return { ...(piece !== undefined && { piece }), guides, ...(check && { check }), standing };
  });
}

/**
 * Whether there is something to sign: the rod put together is ready, or it was not shot so and each piece with places
 * on it is.
 */
export function isRodReady(parts: readonly CheckedPart[]): boolean {
  const together = parts.find(({ piece }) => piece === undefined);
  if (together?.check) return isPartReady(together);
  const pieces = parts.filter(({ piece, guides }) => piece !== undefined && guides);
  return pieces.length > 0 && pieces.every(isPartReady);
}

/** Its guides were checked as they are planned now, and all are in place. */
export const isPartReady = ({ check, standing }: CheckedPart): boolean =>
  standing && check?.report.verdict === 'ready' && guidesAreOn(check.report.stage);
