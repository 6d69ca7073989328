import { type KeptLens, renamed } from '../../store/kept_profile.ts';
import { lensWords } from '../words/lens_words.ts';
import { checkBridge, deskBridge } from '../workers/bridges.ts';
import type { CheckProgress } from '../workers/check_tasks.ts';
import type { ActionContext } from './action_context.ts';
import { keeping, madeOrTold, saveProfile } from './kept_profiles.ts';

/** The lenses of the builder's cameras, kept for every build. */
export function makeLensActions(context: ActionContext) {
  const { services, tell, guarded } = context;
  const keep = keeping(context, (shelf, lens: KeptLens) => shelf.lenses.keep(lens));
  return {
    lenses: async () => (await services).shelf.lenses.all(),
    /** Makes a lens from photos and keeps it; answers what is to be said of it, or nothing where it was stopped. */
    makeLens: (
      files: readonly File[],
      onProgress: (progress: CheckProgress) => void,
      signal: AbortSignal,
    ): Promise<{ lens: KeptLens; sentences: string[] } | undefined> => {
      const photos = files.map((file) => ({ name: file.name, file }));
      const make = async () => {
        const request = { photos, madeAt: new Date().toISOString(), base: document.baseURI };
        const made = await checkBridge.ask('makeLens', request, { signal, onProgress });
        await keep(made.lens);
        return made;
      };
      return madeOrTold(context, make, signal, lensWords.fault);
    },
    openLens: guarded(async (file: File) => {
      tell(undefined);
      const lens = await deskBridge.ask('readLens', { file, name: file.name });
      const here = (await (await services).shelf.lenses.all()).find(({ camera }) => camera === lens.camera);
      if (here && here.text !== lens.text) saveProfile(here, 'lens');
      await keep(lens);
      if (here && here.text !== lens.text) tell(lensWords.replaced(here.name));
    }),
    renameLens: guarded(async (lens: KeptLens, name: string) => keep(renamed(lens, name))),
    saveLens: (lens: KeptLens) => saveProfile(lens, 'lens'),
    removeLens: guarded(async ({ camera }: KeptLens) => (await services).shelf.lenses.remove(camera)),
  };
}
