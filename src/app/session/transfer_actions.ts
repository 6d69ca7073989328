import { InputError } from '../../plan/input_error.ts';
import { isZip, keepImported } from '../files/build_transfer.ts';
import { readFiles } from '../files/open_files.ts';
import type { Place } from '../route/place.ts';
import { goTo } from '../route/use_place.ts';
import { problemWords } from '../words/problem_words.ts';
import { transferWords } from '../words/transfer_words.ts';
import { deskBridge } from '../workers/bridges.ts';
import type { ActionContext } from './action_context.ts';
import { begin } from './build_actions.ts';

/** Builds from files. */
export function makeTransferActions(context: ActionContext) {
  const { dispatch, services, tell, guarded, refreshList } = context;

  /** Opens a build's zip beside what is here already; nothing kept is written over. */
  const openZip = async (file: File) => {
    const { shelf, saver } = await services;
    const imported = await deskBridge.ask('import', { file, name: file.name });
    const { kind, build, checks } = await keepImported(shelf, imported);
    saver.readAt(build.id, build.revision);
    dispatch({ type: 'opened', build, checks, save: saver.stateOf(build) });
    if (kind === 'here') tell(transferWords.alreadyHere(build.document.plan.title));
    else await saver.save(build);
    await refreshList();
    return { screen: 'build', id: build.id, step: checks.length > 0 ? 'check' : 'plan' } as const;
  };

  /** Opens builds' zips: one is gone to, of several the list is; one that can't be read stops none of the others. */
  const openZips = async (files: readonly File[]) => {
    const refused: string[] = [];
    let place: Place = { screen: 'builds' };
    for (const file of files) {
      try {
        place = await openZip(file);
      } catch (error) {
        if (!(error instanceof InputError) || files.length === 1) throw error;
        refused.push(error.message);
      }
    }
    if (refused.length > 0) tell(refused.join(' '));
    goTo(files.length > 1 ? { screen: 'builds' } : place);
  };

  return {
    openFiles: guarded(async (files: readonly File[]) => {
      const zips = files.filter(isZip);
      if (zips.length > 0) await openZips(zips);
      const rest = files.filter((file) => !isZip(file));
      if (zips.length > 0 && rest.length === 0) return;
      const opened = await readFiles(rest);
      if (!opened.plan && opened.photos.length === 0) return tell(problemWords.noPlan);
      await begin(context, opened, false);
    }),
    openSample: guarded(async (onFile: (done: number, all: number) => void) => {
      const { fetchSample } = await import('../files/sample.ts');
      await begin(context, await fetchSample(document.baseURI, onFile), true);
    }),
  };
}
