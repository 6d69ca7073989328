import * as z from 'zod/mini';
import type { Plan } from '../../plan/plan.ts';
import type { Shoot } from '../../plan/shoot.ts';
import type { ShownEvidence } from '../../store/build.ts';
import type { KeptLens } from '../../store/kept_profile.ts';
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
  /** files of the lenses of the builder's cameras */
  lenses: readonly string[];
  /** where the app's files lie: the page's base URL */
  base: string;
}

/** Photos of two of the mat's pages, to make a camera's lens from. */
export interface LensRequest {
  photos: { name: string; file: Blob }[];
  /** ISO 8601 */
  madeAt: string;
  base: string;
}

/** A lens, and what is to be said of it. */
export interface LensAnswer {
  lens: KeptLens;
  sentences: string[];
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
  makeLens: { input: LensRequest; progress: CheckProgress; answer: LensAnswer };
}

const isAnswer = (value: unknown): boolean =>
  typeof value === 'object' && value !== null && 'report' in value && 'evidence' in value;

const isLens = (value: unknown): boolean =>
  typeof value === 'object' && value !== null && 'lens' in value && 'sentences' in value;

const progress = z.object({ stage: z.string(), done: z.number() });

export const checkReplies: ReplySchemas<CheckTasks> = {
  check: { progress, answer: z.custom<CheckAnswer>(isAnswer) },
  makeLens: { progress, answer: z.custom<LensAnswer>(isLens) },
};
