import * as z from 'zod/mini';
import type { Plan } from '../plan/plan.ts';
import type { Shoot } from '../plan/shoot.ts';
import type { ShownEvidence } from './build.ts';

const number = z.number();
const written = z.record(z.string(), z.object({ text: z.string(), value: z.optional(number) }));
const pictureFile = z.object({ width: number, height: number, file: z.string() });

const unfinishedPlan = z.object({
  title: z.string(),
  unit: z.enum(['mm', 'in']),
  blank: z.object({ length: number, tipDiameter: number, buttDiameter: number, finish: z.enum(['dark', 'light']) }),
  positions: z.array(
    z.looseObject({ id: z.string(), kind: z.enum(['guide', 'tip-wrap', 'ferrule-wrap', 'hook-keeper']), at: number }),
  ),
  tolerance: z.object({ along: number, roll: number }),
});

/**
 * build.json in a build's zip: what the app keeps beside plan, shoot and reports. `readings` are the shoot in hand while it
 * has no photo; `unfinishedPlan` stands in where plan.json is not yet a whole plan, lengths in mm.
 */
export const archiveSchema = z.object({
  schema: z.literal('prewrap.build-archive/1'),
  id: z.string(),
  createdAt: z.string(),
  changedAt: z.string(),
  thread: z.string().check(z.regex(/^#[0-9a-f]{6}$/i)),
  lengths: z.enum(['mm', 'in', 'in-fraction']),
  sample: z.boolean(),
  written: z.optional(written),
  printed: z.optional(z.object({ paper: z.optional(z.enum(['A4', 'Letter'])), tiles: z.optional(number) })),
  readings: z.optional(
    z.custom<Omit<Shoot, 'photos'>>((value) => typeof value === 'object' && value !== null && 'mat' in value),
  ),
  unfinishedPlan: z.optional(
    z.pipe(
      unfinishedPlan,
      z.transform((plan) => plan as unknown as Plan),
    ),
  ),
  photos: z.array(z.object({ name: z.string(), addedAt: z.string() })),
  checks: z.array(
    z.object({
      id: z.string(),
      at: z.string(),
      folder: z.string(),
      /** each photo's own name in the check, in the order of the folder's shoot.json */
      photos: z.array(z.string()),
    }),
  ),
});
export type ArchiveFile = z.infer<typeof archiveSchema>;

type Filed<T> = Omit<T, 'picture'> & { picture: z.infer<typeof pictureFile> };

/** A check's evidence as a file: its pictures stand beside it under their names. */
export interface EvidenceFile extends Omit<ShownEvidence, 'ribbon' | 'closeUps'> {
  ribbon?: Filed<NonNullable<ShownEvidence['ribbon']>>;
  closeUps: Filed<ShownEvidence['closeUps'][number]>[];
}

const withPicture = z.looseObject({ picture: pictureFile });
export const evidenceSchema = z.pipe(
  z.looseObject({
    photos: z.array(z.looseObject({ file: z.string() })),
    rings: z.array(z.looseObject({ id: z.string() })),
    closeUps: z.array(withPicture),
    ribbon: z.optional(withPicture),
  }),
  z.transform((evidence) => evidence as unknown as EvidenceFile),
);
