import { z } from 'zod';
import { degreesField, lengthField, present } from './file_schema.ts';
import type { Guide } from '../plan.ts';
import { fromMillimetres, type Unit } from '../lengths/units.ts';

const largestRing = 150;

/** Where a guide or a tip-top's ring belongs round the blank. */
export const rollField = degreesField(-180, 180).optional();

/** The outer and inner diameter of a ring; `boreInsideRing` holds one against the other. */
export const ringFields = (unit: Unit) => ({
  ringOuter: lengthField(unit, 1, largestRing),
  ringInner: lengthField(unit, 0.5, largestRing),
});

export function boreInsideRing(
  ring: { ringOuter: number; ringInner: number },
  context: z.core.$RefinementCtx<unknown>,
): void {
  if (ring.ringInner < ring.ringOuter) return;
  context.addIssue({
    code: 'custom',
    path: ['ringInner'],
    message: 'the inner diameter is not smaller than the outer one; measure both again or exchange them',
  });
}

const ringGuideSchema = (unit: Unit) =>
  z
    .object({
      type: z.literal('ring').optional(),
      ...ringFields(unit),
      height: lengthField(unit, 0, largestRing),
      lean: degreesField(-60, 60),
      foot: z.enum(['single', 'double']),
      footLength: lengthField(unit, 1, 100).optional(),
      reach: lengthField(unit, -50, 100).optional(),
      footToward: z.enum(['tip', 'butt']).optional(),
      roll: rollField,
    })
    .superRefine(boreInsideRing);

const ringsOwn = ['ringOuter', 'ringInner', 'lean', 'foot', 'footLength', 'reach', 'footToward'] as const;

const snakeGuideSchema = (unit: Unit) =>
  z
    .object({
      type: z.literal('snake'),
      length: lengthField(unit, 3, 100),
      height: lengthField(unit, 1, 50),
      wire: lengthField(unit, 0.2, 5),
      roll: rollField,
      ...(Object.fromEntries(
        ringsOwn.map((key) => [
          key,
          z.undefined({ error: 'belongs to a guide with a ring; leave it out, or leave "type" out' }).optional(),
        ]),
      ) as Record<(typeof ringsOwn)[number], z.ZodOptional<z.ZodUndefined>>),
    })
    .superRefine((guide, context) => {
      if (guide.height <= 2 * guide.wire)
        context.addIssue({
          code: 'custom',
          path: ['height'],
          message: 'leaves no room for the line under the wire; measure from the blank to the top of the wire',
        });
    });

/** A guide as it stands in a file: lengths in the file's unit. */
export const guideSchema = (unit: Unit) =>
  z.discriminatedUnion('type', [ringGuideSchema(unit), snakeGuideSchema(unit)], {
    error: 'must be "ring" or "snake"',
  });

/** The plain guide, without the fields a file left out. */
export const guideFromFile = (guide: z.infer<ReturnType<typeof guideSchema>>): Guide => present(guide);

/**
 * A length (mm) in a file's unit. Nine decimals keep it to a nanometre and turn 5.374999999999999 in back into 5.375.
 */
export const lengthToFile = (mm: number, unit: Unit): number => Number(fromMillimetres(mm, unit).toFixed(9));

const lengthKeys = new Set(['ringOuter', 'ringInner', 'height', 'footLength', 'reach', 'length', 'wire']);

/** A guide as it stands in a file; the inverse of `guideFromFile`. */
export const guideToFile = (guide: Guide, unit: Unit) =>
  Object.fromEntries(
    Object.entries(guide).map(([key, value]) => [
      key,
      typeof value === 'number' && lengthKeys.has(key) ? lengthToFile(value, unit) : value,
    ]),
  );
