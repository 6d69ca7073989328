import { jointProblem } from '../plan/pieces/joint_limits.ts';
import { piecesOf, planOfPiece } from '../plan/pieces/pieces.ts';
import type { Plan } from '../plan/plan.ts';
import type { BuildDocument } from './build.ts';

/** How many pieces the rod is planned in; one while its joints are not in order. */
export const pieceCount = (plan: Plan): number =>
  plan.blank.length > 0 && !jointProblem(plan) ? piecesOf(plan).length : 1;

/** The piece that lies on the mat by itself, where the plan has it. */
export function pieceInHand({ plan, shoot }: Pick<BuildDocument, 'plan' | 'shoot'>): number | undefined {
  const count = pieceCount(plan);
  return shoot.piece !== undefined && count > 1 && shoot.piece <= count ? shoot.piece : undefined;
}

/** The plan of what lies on the mat: of one piece, or of the whole rod. */
export function planInHand(document: Pick<BuildDocument, 'plan' | 'shoot'>): Plan {
  const piece = pieceInHand(document);
  return piece === undefined ? document.plan : planOfPiece(document.plan, piece);
}
