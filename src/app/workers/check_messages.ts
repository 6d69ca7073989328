import * as z from 'zod/mini';
import type { Plan } from '../../plan/plan.ts';
import type { Shoot } from '../../plan/shoot.ts';
import type { ShownEvidence } from '../../store/build.ts';
import type { Report } from '../../verdict/report.ts';

/** What the page asks of the worker. */
export interface CheckRequest {
  plan: Plan;
  shoot: Shoot;
  /** in the order of `shoot.photos`, under the same names */
  photos: { name: string; file: Blob }[];
  /** the report of the last marks shoot of the same rod */
  earlierMarks?: Report;
  /** where the app's files lie: the page's base URL */
  base: string;
}

export interface CheckAnswer {
  report: Report;
  evidence: ShownEvidence;
}

export interface CheckProgress {
  /** what is being done, in words */
  stage: string;
  /** 0 to 1 */
  done: number;
}

export const requestSchema = z.object({
  kind: z.literal('check'),
  call: z.number(),
  request: z.custom<CheckRequest>((value) => typeof value === 'object' && value !== null && 'photos' in value),
});

export const replySchema = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('progress'), call: z.number(), stage: z.string(), done: z.number() }),
  z.object({
    kind: z.literal('answer'),
    call: z.number(),
    answer: z.custom<CheckAnswer>((value) => typeof value === 'object' && value !== null && 'report' in value),
  }),
  /** `expected`: one sentence for the builder about what they handed over; otherwise a fault of the app */
  z.object({ kind: z.literal('failed'), call: z.number(), message: z.string(), expected: z.boolean() }),
]);
export type Reply = z.infer<typeof replySchema>;
