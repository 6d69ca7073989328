import { exportInput, isZip, keepImported, saveAs, zipName } from '../files/build_transfer.ts';
import { readFiles } from '../files/open_files.ts';
import { goTo } from '../route/use_place.ts';
import { problemWords } from '../words/problem_words.ts';
import { transferWords } from '../words/transfer_words.ts';
import { deskBridge } from '../workers/bridges.ts';
import { type ActionContext, asBuild } from './action_context.ts';
import { begin } from './build_actions.ts';

/** Builds from files, and builds as files. */
export function makeTransferActions(context: ActionContext) {
  const { dispatch, state, services, tell, guarded, refreshList } = context;

  /** Opens a build's zip beside what is here already; nothing kept is written over. */
  const openZip = async (file: File) => {
    const { shelf, saver } = await services;
    const imported = await deskBridge.ask('import', { file, name: file.name });
    const { kind, build, checks } = await keepImported(shelf, imported);
    saver.readAt(build.id, build.revision);
    dispatch({ type: 'opened', build, checks, save: saver.stateOf(build) });
    if (kind === 'here') tell(transferWords.alreadyHere(build.document.plan.title));
    else await saver.save(build);
    goTo({ screen: 'build', id: build.id, step: checks.length > 0 ? 'check' : 'plan' });
    await refreshList();
  };

  return {
    openFiles: guarded(async (files: readonly File[]) => {
      const zips = files.filter(isZip);
      for (const zip of zips) await openZip(zip);
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
    /** Saves the open build as one zip among the device's files. */
    exportBuild: guarded(async () => {
      const open = state().build;
      if (!open) return;
      const { shelf } = await services;
      const build = asBuild(open);
      const { zip, leftOut } = await deskBridge.ask('export', await exportInput(build, open.checks, shelf));
      saveAs(zip, zipName(build));
      tell(leftOut.length > 0 ? transferWords.leftOut(leftOut) : undefined);
    }),
    /** Saves whatever is kept of a build that can't be read. */
    salvage: guarded(async (id: string) => {
      const { shelf } = await services;
      saveAs(await deskBridge.ask('salvage', await shelf.raw(id)), 'damaged-build.zip');
    }),
  };
}
