import { z } from 'zod';
import { degreesField, lengthField, present } from './file_schema.ts';
import type { Guide } from '../plan.ts';
import { fromMillimetres, type Unit } from '../lengths/units.ts';

const largestRing = 150;

/** A guide as it stands in a file: lengths in the file's unit. */
export const guideSchema = (unit: Unit) =>
  z
    .object({
      ringOuter: lengthField(unit, 1, largestRing),
      ringInner: lengthField(unit, 0.5, largestRing),
      height: lengthField(unit, 0, largestRing),
      lean: degreesField(-60, 60),
      foot: z.enum(['single', 'double']),
      footLength: lengthField(unit, 1, 100).optional(),
      reach: lengthField(unit, -50, 100).optional(),
      footToward: z.enum(['tip', 'butt']).optional(),
    })
    .superRefine((guide, context) => {
      if (guide.ringInner >= guide.ringOuter) {
        context.addIssue({
          code: 'custom',
          path: ['ringInner'],
          message: 'the inner diameter is not smaller than the outer one; measure both again or exchange them',
        });
      }
    });

/** The plain guide, without the fields a file left out. */
export const guideFromFile = (guide: z.infer<ReturnType<typeof guideSchema>>): Guide => present(guide);

/**
 * A length (mm) in a file's unit. Nine decimals keep it to a nanometre and turn 5.374999999999999 in back into 5.375.
 */
export const lengthToFile = (mm: number, unit: Unit): number => Number(fromMillimetres(mm, unit).toFixed(9));

/** A guide as it stands in a file; the inverse of `guideFromFile`. */
export function guideToFile(guide: Guide, unit: Unit) {
  const length = (mm: number) => lengthToFile(mm, unit);
  return {
    ...guide,
    ringOuter: length(guide.ringOuter),
    ringInner: length(guide.ringInner),
    height: length(guide.height),
    ...(guide.footLength !== undefined && { footLength: length(guide.footLength) }),
    ...(guide.reach !== undefined && { reach: length(guide.reach) }),
  };
}
