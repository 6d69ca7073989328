import { type LayoutResult, type LayoutSpec, layOut } from '../../plan/layouts/layout.ts';
import { exportBuild, type ExportedBuild, type ExportInput } from '../../store/export_build.ts';
import { importBuild, type ImportedBuild } from '../../store/import_build.ts';

/** What is done beside the page, and what comes of it. */
export interface DeskTasks {
  layOut: { input: LayoutSpec; answer: LayoutResult };
  export: { input: ExportInput; answer: ExportedBuild };
  import: { input: { file: Blob; name: string }; answer: ImportedBuild };
}

export type DeskRequest = { [K in keyof DeskTasks]: { task: K; input: DeskTasks[K]['input'] } }[keyof DeskTasks];

export async function answerDesk(request: DeskRequest): Promise<DeskTasks[keyof DeskTasks]['answer']> {
  switch (request.task) {
    case 'layOut':
      return layOut(request.input);
    case 'export':
      return exportBuild(request.input);
    case 'import':
      return importBuild(request.input.file, request.input.name);
  }
}
