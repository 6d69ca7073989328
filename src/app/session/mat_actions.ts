import { InputError } from '../../plan/input_error.ts';
import { type KeptMat, renamed } from '../../store/kept_profile.ts';
import { keptMatWords } from '../words/kept_mat_words.ts';
import { problemWords } from '../words/problem_words.ts';
import { checkBridge, deskBridge } from '../workers/bridges.ts';
import type { CheckProgress } from '../workers/check_tasks.ts';
import type { ActionContext } from './action_context.ts';
import { keeping, madeOrTold, saveProfile } from './kept_profiles.ts';

/** Taped mats, kept for every build that lies on them. */
export function makeMatActions(context: ActionContext) {
  const { state, services, tell, guarded } = context;
  const keep = keeping(context, (shelf, mat: KeptMat) => shelf.mats.keep(mat));
  return {
    mats: async () => (await services).shelf.mats.all(),
    /** Keeps the open build's mat as its photos tell it; answers it, or nothing where it was stopped or refused. */
    makeMat: (
      name: string,
      onProgress: (progress: CheckProgress) => void,
      signal: AbortSignal,
    ): Promise<{ mat: KeptMat; sentences: string[] } | undefined> => {
      const { shoot } = state().build!.history.present;
      const make = async () => {
        const { shelf } = await services;
        const photos = await Promise.all(
          shoot.photos.map(async (entry) => {
            const file = await shelf.photoFile(entry.id);
            if (!file) throw new InputError(problemWords.photoLost(entry.name));
            return { name: entry.name, file };
          }),
        );
        const lenses = (await shelf.lenses.all()).map(({ text }) => text);
        const request = { photos, readings: shoot.mat, name, madeAt: new Date().toISOString(), lenses };
        const made = await checkBridge.ask('makeMat', { ...request, base: document.baseURI }, { signal, onProgress });
        await keep(made.mat);
        return made;
      };
      return madeOrTold(context, make, signal, keptMatWords.fault);
    },
    openMat: guarded(async (file: File) => {
      tell(undefined);
      const { mat } = await deskBridge.ask('readMat', { file, name: file.name });
      const here = await (await services).shelf.mats.all();
      if (here.some(({ text }) => text === mat.text)) return tell(keptMatWords.here(mat.name));
      await keep(mat);
    }),
    renameMat: guarded(async (mat: KeptMat, name: string) => keep(renamed(mat, name))),
    saveMat: (mat: KeptMat) => saveProfile(mat, 'mat'),
    removeMat: guarded(async ({ id }: KeptMat) => (await services).shelf.mats.remove(id)),
  };
}
