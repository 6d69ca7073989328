import { InputError } from '../../plan/input_error.ts';
import { type KeptMat, renamed } from '../../store/kept_profile.ts';
import { fileStem, saveAs } from '../files/build_transfer.ts';
import { keptMatWords } from '../words/kept_mat_words.ts';
import { problemWords } from '../words/problem_words.ts';
import { checkBridge, deskBridge } from '../workers/bridges.ts';
import type { CheckProgress } from '../workers/check_tasks.ts';
import { type ActionContext, asBuild } from './action_context.ts';

/** Taped mats, kept for every build that lies on them. */
export function makeMatActions({ state, services, tell, guarded }: ActionContext) {
  const keep = async (mat: KeptMat) => {
    const { shelf, saver } = await services;
    await shelf.keepMat(mat);
    const build = state().build;
    if (build) saver.review(asBuild(build));
  };
  return {
    mats: async () => (await services).shelf.mats(),
    /** Keeps the open build's mat as its photos tell it; answers it, or nothing where it was stopped or refused. */
    makeMat: async (
      name: string,
      onProgress: (progress: CheckProgress) => void,
      signal: AbortSignal,
    ): Promise<{ mat: KeptMat; sentences: string[] } | undefined> => {
      tell(undefined);
      const { shoot } = state().build!.history.present;
      try {
        const { shelf } = await services;
        const photos = await Promise.all(
          shoot.photos.map(async (entry) => {
            const file = await shelf.photoFile(entry.id);
            if (!file) throw new InputError(problemWords.photoLost(entry.name));
            return { name: entry.name, file };
          }),
        );
        const lenses = (await shelf.lenses()).map(({ text }) => text);
        const request = { photos, readings: shoot.mat, name, madeAt: new Date().toISOString(), lenses };
        const made = await checkBridge.ask('makeMat', { ...request, base: document.baseURI }, { signal, onProgress });
        await keep(made.mat);
        return made;
      } catch (error) {
        if (signal.aborted) return undefined;
        const why = error instanceof Error ? error.message : '';
        tell(error instanceof InputError ? why : keptMatWords.fault(why));
        return undefined;
      }
    },
    openMat: guarded(async (file: File) => {
      tell(undefined);
      const { mat } = await deskBridge.ask('readMat', { file, name: file.name });
      const here = await (await services).shelf.mats();
      if (here.some(({ text }) => text === mat.text)) return tell(keptMatWords.here(mat.name));
      await keep(mat);
    }),
    renameMat: guarded(async (mat: KeptMat, name: string) => keep(renamed(mat, name))),
    saveMat: ({ text, name }: KeptMat) =>
      saveAs(new Blob([text], { type: 'application/json' }), `${fileStem(name)}.mat.json`),
    removeMat: guarded(async ({ id }: KeptMat) => (await services).shelf.removeMat(id)),
  };
}
