import { InputError } from '../../plan/input_error.ts';
import { type KeptLens, renamed } from '../../store/kept_profile.ts';
import { fileStem, saveAs } from '../files/build_transfer.ts';
import { lensWords } from '../words/lens_words.ts';
import { checkBridge, deskBridge } from '../workers/bridges.ts';
import type { CheckProgress } from '../workers/check_tasks.ts';
import { type ActionContext, asBuild } from './action_context.ts';

/** The lenses of the builder's cameras, kept for every build. */
export function makeLensActions({ state, services, tell, guarded }: ActionContext) {
  const keep = async (lens: KeptLens) => {
    const { shelf, saver } = await services;
    await shelf.keepLens(lens);
    const build = state().build;
    if (build) saver.review(asBuild(build));
  };
  return {
    lenses: async () => (await services).shelf.lenses(),
    /** Makes a lens from photos and keeps it; answers what is to be said of it, or nothing where it was stopped. */
    makeLens: async (
      files: readonly File[],
      onProgress: (progress: CheckProgress) => void,
      signal: AbortSignal,
    ): Promise<{ lens: KeptLens; sentences: string[] } | undefined> => {
      tell(undefined);
      try {
        const made = await checkBridge.ask(
          'makeLens',
          {
            photos: files.map((file) => ({ name: file.name, file })),
            madeAt: new Date().toISOString(),
            base: document.baseURI,
          },
          { signal, onProgress },
        );
        await keep(made.lens);
        return made;
      } catch (error) {
        if (signal.aborted) return undefined;
        tell(
          error instanceof InputError ? error.message : lensWords.fault(error instanceof Error ? error.message : ''),
        );
        return undefined;
      }
    },
    openLens: guarded(async (file: File) => {
      tell(undefined);
      const lens = await deskBridge.ask('readLens', { file, name: file.name });
      const here = (await (await services).shelf.lenses()).find(({ camera }) => camera === lens.camera);
      if (here && here.text !== lens.text) saveAs(fileOf(here), nameOf(here));
      await keep(lens);
      if (here && here.text !== lens.text) tell(lensWords.replaced(here.name));
    }),
    renameLens: guarded(async (lens: KeptLens, name: string) => keep(renamed(lens, name))),
    saveLens: (lens: KeptLens) => saveAs(fileOf(lens), nameOf(lens)),
    removeLens: guarded(async ({ camera }: KeptLens) => (await services).shelf.removeLens(camera)),
  };
}

const fileOf = ({ text }: KeptLens) => new Blob([text], { type: 'application/json' });
const nameOf = ({ name }: KeptLens) => `${fileStem(name)}.lens.json`;
