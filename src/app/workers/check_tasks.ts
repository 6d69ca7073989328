import * as z from 'zod/mini';
import type { Plan } from '../../plan/plan.ts';
import type { MatReadings, Shoot } from '../../plan/shoot.ts';
import type { ShownEvidence } from '../../store/build.ts';
import type { KeptLens, KeptMat } from '../../store/kept_profile.ts';
import type { Report } from '../../verdict/report.ts';
import type { ReplySchemas } from './worker_bridge.ts';

/** What the page asks of the worker. */
export interface CheckRequest {
  plan: Plan;
  shoot: Shoot;
  /** in the order of `shoot.photos`, under the same names; the bytes under an id are always the same */
  photos: { id: string; name: string; file: Blob }[];
  /** the report of the last marks shoot of the same rod */
  earlierMarks?: Report;
  /** files of the lenses of the builder's cameras */
  lenses: readonly string[];
  /** file of the kept mat that the rod lies on */
  mat?: string;
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

/** A shoot's photos and readings, to keep its taped mat from. */
export interface MatRequest {
  photos: { name: string; file: Blob }[];
  readings: MatReadings;
  name: string;
  /** ISO 8601 */
  madeAt: string;
  lenses: readonly string[];
  base: string;
}

export interface MatAnswer {
  mat: KeptMat;
  sentences: string[];
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
  /** what the check says, once it stands and only the pictures are to be drawn */
  report?: Report | undefined;
}

export interface CheckTasks {
  check: { input: CheckRequest; progress: CheckProgress; answer: CheckAnswer };
  makeMat: { input: MatRequest; progress: CheckProgress; answer: MatAnswer };
  makeLens: { input: LensRequest; progress: CheckProgress; answer: LensAnswer };
}

const isAnswer = (value: unknown): boolean =>
  typeof value === 'object' && value !== null && 'report' in value && 'evidence' in value;

const isMade = (what: 'lens' | 'mat') => (value: unknown) =>
  typeof value === 'object' && value !== null && what in value && 'sentences' in value;

const isReport = (value: unknown): boolean => typeof value === 'object' && value !== null && 'verdict' in value;

const progress = z.object({
  stage: z.string(),
  done: z.number(),
  report: z.optional(z.custom<Report>(isReport)),
});

export const checkReplies: ReplySchemas<CheckTasks> = {
  check: { progress, answer: z.custom<CheckAnswer>(isAnswer) },
  makeLens: { progress, answer: z.custom<LensAnswer>(isMade('lens')) },
  makeMat: { progress, answer: z.custom<MatAnswer>(isMade('mat')) },
};
