import type { Build, KeptCheck } from '../../store/build.ts';
import { exportInput, saveAs, zipName } from '../files/build_transfer.ts';
import { transferWords } from '../words/transfer_words.ts';
import { deskBridge } from '../workers/bridges.ts';
import { type ActionContext, asBuild } from './action_context.ts';

/** Builds as files. */
export function makeExportActions({ state, services, tell, guarded }: ActionContext) {
  /** A build as a zip among the device's files; answers the names of photos that had to stay behind. */
  const saveZip = async (build: Build, checks: readonly KeptCheck[]): Promise<string[]> => {
    const { shelf } = await services;
    const { zip, leftOut } = await deskBridge.ask('export', await exportInput(build, checks, shelf));
    saveAs(zip, zipName(build));
    return leftOut;
  };

  return {
    /** Saves the open build as one zip among the device's files. */
    exportBuild: guarded(async () => {
      const open = state().build;
      if (!open) return;
      const leftOut = await saveZip(asBuild(open), open.checks);
      tell(leftOut.length > 0 ? transferWords.leftOut(leftOut) : undefined);
    }),
    /** Saves several builds, each as a zip of its own, one after the other. */
    exportBuilds: guarded(async (ids: readonly string[], onDone: (done: number) => void) => {
      const { shelf, saver } = await services;
      await saver.flush();
      const leftOut: string[] = [];
      for (const [i, id] of ids.entries()) {
        onDone(i + 1);
        const build = await shelf.load(id);
        if (build && build !== 'damaged') leftOut.push(...(await saveZip(build, (await shelf.checks(id)).checks)));
      }
      tell(leftOut.length > 0 ? transferWords.leftOut(leftOut) : undefined);
    }),
    /** Saves whatever is kept of a build that can't be read. */
    salvage: guarded(async (id: string) => {
      const { shelf } = await services;
      saveAs(await deskBridge.ask('salvage', await shelf.raw(id)), 'damaged-build.zip');
    }),
  };
}
