import * as z from 'zod/mini';
import type { LayoutResult } from '../../plan/layouts/layout.ts';
import type { LayoutSpec } from '../../plan/layouts/wanted_layout.ts';
import type { ExportedBuild, ExportInput } from '../../store/export_build.ts';
import type { MatReadings } from '../../plan/shoot.ts';
import type { KeptLens, KeptMat } from '../../store/kept_profile.ts';
import type { Salvage } from '../../store/salvage.ts';
import type { ImportedBuild } from '../../store/import_build.ts';
import type { ReplySchemas } from './worker_bridge.ts';

/** What is done beside the page, and what comes of it. */
export interface DeskTasks {
  /** fails with one sentence where the file is no kept mat */
  readMat: { input: { file: Blob; name: string }; progress: never; answer: { mat: KeptMat; readings: MatReadings } };
  /** fails with one sentence where the file is no lens */
  readLens: { input: { file: Blob; name: string }; progress: never; answer: KeptLens };
  layOut: { input: LayoutSpec; progress: never; answer: LayoutResult };
  export: { input: ExportInput; progress: never; answer: ExportedBuild };
  import: { input: { file: Blob; name: string }; progress: never; answer: ImportedBuild };
  salvage: { input: Salvage; progress: never; answer: Blob };
  /** fails with one sentence where the file is no photo that can be used */
  inspectPhoto: { input: { file: Blob; name: string }; progress: never; answer: true };
}

const has = (key: string) => (value: unknown) => typeof value === 'object' && value !== null && key in value;

export const deskReplies: ReplySchemas<DeskTasks> = {
  readMat: { progress: z.never(), answer: z.custom<{ mat: KeptMat; readings: MatReadings }>(has('mat')) },
  readLens: { progress: z.never(), answer: z.custom<KeptLens>(has('camera')) },
  layOut: { progress: z.never(), answer: z.custom<LayoutResult>(has('plan')) },
  export: { progress: z.never(), answer: z.custom<ExportedBuild>(has('zip')) },
  import: { progress: z.never(), answer: z.custom<ImportedBuild>(has('build')) },
  salvage: { progress: z.never(), answer: z.instanceof(Blob) },
  inspectPhoto: { progress: z.never(), answer: z.literal(true) },
};
