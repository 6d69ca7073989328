import { z } from 'zod';
import { degreesField, lengthField, nameField, readHeader, readWith } from './file_schema.ts';
import { mostPieces } from '../pieces/joint.ts';
import { guidesAreOn, mostPhotos, type MatReadings, type Shoot, type Span } from '../shoot.ts';

/**
 * Bars are drawn 100 mm long, the rows of squares 224 and 168 mm; a fifth off, no printer's scaling explains a reading.
 */
const barField = lengthField('mm', 80, 120);
const rowAlongField = lengthField('mm', 180, 268);
const rowAcrossField = lengthField('mm', 135, 201);

const tagsPerTile = 10;
const tags = 58 * tagsPerTile;
const tagField = z
  .number({ error: 'must be the number printed beside a tag' })
  .int('must be a whole number')
  .min(0, 'must be 0 or more')
  .max(tags - 1, `must be the number of a tag on a mat page, ${tags - 1} at most`);

const inTopRow = (tag: number) => tag % tagsPerTile < tagsPerTile / 2;

const againField = z
  .array(lengthField('mm', 24, 20_000))
  .max(4, 'holds more than four further readings; the span is read two or three times');

const spanSchema = z
  .object({ fromTag: tagField, toTag: tagField, length: lengthField('mm', 24, 20_000), again: againField.optional() })
  .superRefine((span, context) => {
    const message =
      span.fromTag === span.toTag
        ? 'is the same tag as fromTag; name the last tag of the same row that the tape reached'
        : inTopRow(span.fromTag) !== inTopRow(span.toTag)
          ? 'is in the other row than fromTag; lay the tape along one row'
          : undefined;
    if (message) context.addIssue({ code: 'custom', path: ['toTag'], message });
  });

/** What was measured on the mat, as a file has it: mm, or texts that name another unit. */
export const matReadingsSchema = z.object({
  rowAlong: rowAlongField.optional(),
  rowAcross: rowAcrossField.optional(),
  barAlong: barField.optional(),
  barAcross: barField.optional(),
  span: spanSchema.optional(),
});

const pieceField = z
  .number({ error: 'must be the number of a piece, counted from the tip' })
  .int('must be a whole number')
  .min(1, 'must be 1 or more')
  .max(mostPieces, `is more than ${mostPieces}, the most pieces a rod has here`);

const shootSchema = z
  .object({
    stage: z.enum(['blank', 'marks', 'rings', 'wrapped']),
    photos: z
      .array(nameField('the name of a photo'))
      .min(1, 'names no photo; add the photos of the walk')
      .max(mostPhotos, `names more than ${mostPhotos} photos; choose 4 to 8 of them`),
    mat: matReadingsSchema,
    rest: z.discriminatedUnion(
      'kind',
      [
        z.object({ kind: z.literal('flat'), gripDiameter: lengthField('mm', 2, 150).optional() }),
        z.object({ kind: z.literal('blocks'), axisHeight: lengthField('mm', 0, 500) }),
      ],
      { error: 'must be an object whose "kind" is "flat" or "blocks"' },
    ),
    rollReference: z.enum(['seat-card', 'spine-line', 'guides']).optional(),
    rollAngle: degreesField(-360, 360).optional(),
    earlierMarks: nameField('the name of a report file').optional(),
    byHand: z
      .array(
        z.object({
          id: nameField('the id of a planned item'),
          photo: nameField('the name of a photo'),
          points: z
            .array(z.tuple([z.number(), z.number()], { error: 'must be two numbers, x and y in pixels' }))
            .min(1, 'holds no point')
            .max(50, 'holds more than 50 points'),
        }),
      )
      .optional(),
    turn: degreesField(-360, 360).optional(),
    piece: pieceField.optional(),
  })
  .superRefine((shoot, context) => {
    if (shoot.stage !== 'blank' && shoot.rollReference === undefined)
      context.addIssue({ code: 'custom', path: ['rollReference'], message: 'is missing; add it' });
    if (shoot.stage === 'blank')
      for (const key of ['rollReference', 'byHand'] as const)
        if (shoot[key] !== undefined)
          context.addIssue({
            code: 'custom',
            path: [key],
            message: 'means nothing on a bare blank; leave it out, or correct "stage"',
          });
    if (shoot.stage !== 'blank' && shoot.turn !== undefined)
      context.addIssue({
        code: 'custom',
        path: ['turn'],
        message: 'belongs to a blank shoot; set "stage" to "blank" or leave turn out',
      });
    const repeated = shoot.photos.findIndex((photo, index) => shoot.photos.indexOf(photo) < index);
    if (repeated >= 0) {
      context.addIssue({
        code: 'custom',
        path: ['photos', repeated],
        message: `"${shoot.photos[repeated]}" is listed twice, and counting it twice would feign certainty; keep it once`,
      });
    }
    const stray = (shoot.byHand ?? []).findIndex(({ photo }) => !shoot.photos.includes(photo));
    if (stray >= 0) {
      context.addIssue({
        code: 'custom',
        path: ['byHand', stray, 'photo'],
        message: 'is not one of the photos listed above; point in one of those',
      });
    }
    if (shoot.rollAngle !== undefined && shoot.rollReference !== 'spine-line') {
      context.addIssue({
        code: 'custom',
        path: ['rollAngle'],
        message: 'is the angle from the spine line; set "rollReference" to "spine-line" or leave rollAngle out',
      });
    }
    if (shoot.earlierMarks !== undefined && !guidesAreOn(shoot.stage)) {
      context.addIssue({
        code: 'custom',
        path: ['earlierMarks'],
        message: 'belongs to a shoot of the guides; set "stage" to "rings" or "wrapped", or leave earlierMarks out',
      });
    }
  });

/**
 * Reads a prewrap.shoot/1 file: its text, or its value already parsed; `file` is named in errors. Lengths are
 * millimetres (a text may name another unit). Throws InputError.
 */
export function parseShoot(input: unknown, file = 'shoot.json'): Shoot {
  const { mat, rest, rollReference, rollAngle, earlierMarks, byHand, turn, piece, ...shoot } = readWith(
    shootSchema,
    readHeader(input, 'prewrap.shoot/1', file),
    file,
  );
  return {
    ...shoot,
    mat: matReadingsFromFile(mat),
    rest: rest.kind === 'flat' && rest.gripDiameter === undefined ? { kind: 'flat' } : (rest satisfies Shoot['rest']),
    rollReference: rollReference ?? 'guides',
    ...(turn !== undefined && { turn }),
    ...(piece !== undefined && { piece }),
    ...(rollAngle !== undefined && { rollAngle }),
    ...(earlierMarks !== undefined && { earlierMarks }),
    ...(byHand !== undefined && { byHand }),
  };
}

/** Readings as `matReadingsSchema` reads them, without what a file left out. */
export const matReadingsFromFile = (mat: z.infer<typeof matReadingsSchema>): MatReadings => ({
  ...(mat.rowAlong !== undefined && { rowAlong: mat.rowAlong }),
  ...(mat.rowAcross !== undefined && { rowAcross: mat.rowAcross }),
  ...(mat.barAlong !== undefined && { barAlong: mat.barAlong }),
  ...(mat.barAcross !== undefined && { barAcross: mat.barAcross }),
  ...(mat.span && { span: spanOf(mat.span) }),
});

const spanOf = ({ again, ...span }: z.infer<typeof spanSchema>): Span => ({ ...span, ...(again?.length && { again }) });

/** A shoot as the value of a prewrap.shoot/1 file; the inverse of `parseShoot`. */
export function shootToFile({ rollReference, ...shoot }: Shoot) {
  return { schema: 'prewrap.shoot/1', ...shoot, ...(shoot.stage !== 'blank' && { rollReference }) };
}
