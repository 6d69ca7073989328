import { z } from 'zod';
import { InputError } from '../input_error.ts';
import { formatLength } from '../lengths/length_text.ts';
import type { Unit } from '../lengths/units.ts';
import { jointStretch, mostPieces, reachAt } from '../pieces/joint.ts';
import { type Joint, type Plan, planStart } from '../plan.ts';
import { lengthField, longestRod } from './file_schema.ts';
import { lengthToFile } from './guide_file.ts';

/** The least a piece may be long, mm: a shorter one is most likely a slip in a joint's place. */
const shortestPiece = 100;
/** Longer spigots and sleeves are most likely a place taken for a length, mm. */
const longestJoint = 500;

/** A piece's number, or how many there are. */
export const pieceNumber = (least: number) =>
  z
    .number({ error: 'must be a number of pieces' })
    .int('must be a whole number')
    .min(least, `must be ${least} or more`)
    .max(mostPieces, `is more than ${mostPieces}, the most pieces a rod has here`);

/** The joints of a rod as they stand in a file: lengths in the file's unit. */
export const jointsSchema = (unit: Unit) =>
  z
    .array(
      z
        .object({
          kind: z.enum(['spigot', 'sleeve']),
          at: lengthField(unit, 0, longestRod),
          length: lengthField(unit, 5, longestJoint),
          gap: lengthField(unit, 0, 50).optional(),
          inner: z.enum(['tip', 'butt']).optional(),
        })
        .superRefine(({ kind, gap = 0, length }, context) => {
          const message =
            gap > 0 && kind === 'sleeve'
              ? 'shows at a spigot only; leave it out, and let "length" be how far one piece reaches into the other'
              : gap >= length
                ? 'is as long as the spigot, which would not reach; measure both again'
                : undefined;
          if (message) context.addIssue({ code: 'custom', path: ['gap'], message });
        }),
    )
    .max(mostPieces - 1, `holds more than ${mostPieces - 1} joints, the most that are taken`);

/** A joint as it stands in a file. */
export const jointToFile = (joint: Joint, unit: Unit) => ({
  ...joint,
  at: lengthToFile(joint.at, unit),
  length: lengthToFile(joint.length, unit),
  ...(joint.gap !== undefined && { gap: lengthToFile(joint.gap, unit) }),
});

/**
 * Joints lie on the rod, from tip to butt, far enough apart for a piece between them, and no place in a gap, where
 * there is nothing to wrap on; those of a plan for one section lie at its ends. Throws InputError.
 */
export function refuseImpossibleJoints(plan: Plan, file: string): void {
  const { joints = [], section, unit } = plan;
  const words = (mm: number) => formatLength(mm, unit);
  const start = planStart(plan);
  const end = start + plan.blank.length;
  for (const [index, joint] of joints.entries()) {
    const place = `${file}, joints[${index}]`;
    const { from, to } = jointStretch(joint);
    const { tipPieceTo, buttPieceFrom } = reachAt(joint);
    if (section) {
      if (Math.min(Math.abs(buttPieceFrom - start), Math.abs(tipPieceTo - end)) > 0.5)
        throw new InputError(
          `${place}, at: a plan for one section names the joints at its ends, ${words(start)} and ${words(end)}; correct the place, or leave "section" out in the plan of a whole rod.`,
        );
      continue;
    }
    const before = joints[index - 1];
    const least = before ? jointStretch(before).to : start;
    if (from - least < shortestPiece || (index === joints.length - 1 && end - to < shortestPiece))
      throw new InputError(
        `${place}, at: ${words(joint.at)} leaves less than ${words(shortestPiece)} for a piece beside it; list the joints from tip to butt and check the place and the length of the blank.`,
      );
  }
  for (const { id, at } of plan.positions) {
    const joint = joints.find(({ at: edge, gap = 0 }) => at > edge && at < edge + gap);
    if (joint)
      throw new InputError(
        `${file}, positions "${id}", at: ${words(at)} lies in the gap of the joint at ${words(joint.at)}, where nothing can be wrapped; correct the distance, or the joint.`,
      );
  }
}
