import type { Joint, Plan } from '../../plan/plan.ts';
import type { BuildDocument, ShootInHand } from '../../store/build.ts';
import { pieceCount } from '../../store/plan_in_hand.ts';
import { type Edit, editPlan } from './plan_edits.ts';

/**
 * The shoot with another piece on the mat. Only the last piece carries the reel seat, so that another by itself counts
 * its roll from its own rings.
 */
export function shootOfPiece(plan: Plan, shoot: ShootInHand, piece: number | undefined): ShootInHand {
  const { piece: _, ...rest } = shoot;
  if (piece === undefined) return rest;
  const seatless = piece < pieceCount(plan) && shoot.rollReference === 'seat-card';
  return { ...rest, piece, ...(seatless && { rollReference: 'guides' as const }) };
}

/** The joints changed, from tip to butt; texts typed for one of them go with its old number. */
const withJoints =
  (change: (joints: readonly Joint[]) => Joint[]): Edit =>
  (document) => {
    const written = Object.fromEntries(
      Object.entries(document.written ?? {}).filter(([name]) => !name.startsWith('plan.joint.')),
    );
    return editPlan(({ joints = [], ...plan }) => {
      const next = change(joints).toSorted((a, b) => a.at - b.at);
      return next.length > 0 ? { ...plan, joints: next } : plan;
    })({ ...document, written });
  };

export const addJoint = (joint: Joint): Edit => withJoints((joints) => [...joints, joint]);

export const removeJoint = (index: number): Edit => withJoints((joints) => joints.filter((_, k) => k !== index));

/** One joint changed in place. */
export const changeJoint =
  (index: number, change: (joint: Joint) => Joint): Edit =>
  (document: BuildDocument) =>
    editPlan((plan) => ({
      ...plan,
      joints: (plan.joints ?? []).map((joint, k) => (k === index ? change(joint) : joint)),
    }))(document);
