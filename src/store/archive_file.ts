import * as z from 'zod/mini';
import type { ShownEvidence } from './build.ts';
import {
  evidenceOf,
  lengthsSchema,
  momentSchema,
  pictureFileSchema,
  planSchema,
  printedSchema,
  readingsSchema,
  threadSchema,
  writtenSchema,
} from './kept_schema.ts';

/**
 * build.json in a build's zip: what the app keeps beside plan, shoot and reports. `readings` are the shoot in hand
 * while it has no photo; `unfinishedPlan` stands in where plan.json is not yet a whole plan, lengths in mm.
 */
export const archiveSchema = z.object({
  schema: z.literal('prewrap.build-archive/1'),
  id: z.string().check(z.minLength(1), z.maxLength(200)),
  createdAt: momentSchema,
  changedAt: momentSchema,
  thread: threadSchema,
  lengths: lengthsSchema,
  sample: z.boolean(),
  written: z.optional(writtenSchema),
  printed: z.optional(printedSchema),
  readings: z.optional(readingsSchema),
  unfinishedPlan: z.optional(planSchema),
  photos: z.array(z.object({ name: z.string(), addedAt: momentSchema })),
  checks: z.array(
    z.object({
      id: z.string(),
      at: momentSchema,
      folder: z.string(),
      /** each photo's own name in the check, in the order of the folder's shoot.json */
      photos: z.array(z.string()),
    }),
  ),
});
export type ArchiveFile = z.infer<typeof archiveSchema>;

type Filed<T> = Omit<T, 'picture'> & { picture: z.infer<typeof pictureFileSchema> };

/** A check's evidence as a file: its pictures stand beside it under their names. */
export interface EvidenceFile extends Omit<ShownEvidence, 'ribbon' | 'closeUps'> {
  ribbon?: Filed<NonNullable<ShownEvidence['ribbon']>>;
  closeUps: Filed<ShownEvidence['closeUps'][number]>[];
}

export const evidenceSchema = z.pipe(
  evidenceOf(pictureFileSchema),
  z.transform((evidence) => evidence as unknown as EvidenceFile),
);
