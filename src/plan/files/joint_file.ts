import { z } from 'zod';
import { InputError } from '../input_error.ts';
import type { Unit } from '../lengths/units.ts';
import { mostPieces } from '../pieces/joint.ts';
import { gapProblem, jointLimits, jointProblem, playProblem } from '../pieces/joint_limits.ts';
import type { Joint, Plan } from '../plan.ts';
import { lengthField, longestRod } from './file_schema.ts';
import { lengthToFile } from './guide_file.ts';
import { inFile } from './in_file.ts';

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
          length: lengthField(unit, jointLimits.length.least, jointLimits.length.most),
          gap: lengthField(unit, jointLimits.gap.least, jointLimits.gap.most).optional(),
          play: lengthField(unit, jointLimits.play.least, jointLimits.play.most).optional(),
          inner: z.enum(['tip', 'butt']).optional(),
        })
        .superRefine((joint, context) => {
          const message = gapProblem(joint);
          if (message) context.addIssue({ code: 'custom', path: ['gap'], message });
          const play = playProblem(joint);
          if (play) context.addIssue({ code: 'custom', path: ['play'], message: play });
        }),
    )
    .max(mostPieces - 1, `holds more than ${mostPieces - 1} joints, the most that are taken`);

/** A joint as it stands in a file. */
export const jointToFile = (joint: Joint, unit: Unit) => ({
  ...joint,
  at: lengthToFile(joint.at, unit),
  length: lengthToFile(joint.length, unit),
  ...(joint.gap !== undefined && { gap: lengthToFile(joint.gap, unit) }),
  ...(joint.play !== undefined && { play: lengthToFile(joint.play, unit) }),
});

/** Throws InputError for joints that no rod has, and for a place where nothing can be wrapped. */
export function refuseImpossibleJoints(plan: Plan, file: string): void {
  const problem = jointProblem(plan);
  if (problem) throw new InputError(`${inFile(file)}, ${problem.place}: ${problem.why}.`);
}
