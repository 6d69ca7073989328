import * as z from 'zod/mini';
import type { Plan } from '../../plan/plan.ts';
import type { Shoot } from '../../plan/shoot.ts';
import type { ShownEvidence } from '../../store/build.ts';
import type { Report } from '../../verdict/report.ts';
import type { ReplySchemas } from './worker_bridge.ts';

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

export interface CheckTasks {
  check: { input: CheckRequest; progress: CheckProgress; answer: CheckAnswer };
}

const isAnswer = (value: unknown): boolean =>
  typeof value === 'object' && value !== null && 'report' in value && 'evidence' in value;

export const checkReplies: ReplySchemas<CheckTasks> = {
  check: { progress: z.object({ stage: z.string(), done: z.number() }), answer: z.custom<CheckAnswer>(isAnswer) },
};
