import type { Dispatch } from 'react';
import type { NamedGuide } from '../../plan/files/guide_set.ts';
import type { LengthDisplay } from '../../plan/lengths/length_text.ts';
import type { LayoutResult, LayoutSpec } from '../../plan/layouts/layout.ts';
import type { Build, BuildDocument, BuildSummary, KeptPhoto } from '../../store/build.ts';
import { firstChecks } from '../../store/first_checks.ts';
import { type Habit, habitsOf } from '../../verdict/habits.ts';
import { askToPersist, isOutOfSpace, storageState } from '../../store/space.ts';
import { makeCheckActions, reason } from './check_actions.ts';
import { exportInput, isZip, keepImported, saveAs, zipName } from '../files/build_transfer.ts';
import { newBuild, newId } from '../files/new_build.ts';
import { type OpenedFiles, readFiles } from '../files/open_files.ts';
import { deskBridge } from '../workers/bridges.ts';
import type { Services } from './services.ts';
import { copyOf, photoEntries } from '../files/added_photos.ts';
import type { Action, AppState } from './state.ts';
import { goTo } from '../route/use_place.ts';
import { changeWords } from '../words/changes_words.ts';
import { problemWords } from '../words/problem_words.ts';
import { transferWords } from '../words/transfer_words.ts';

export type Actions = ReturnType<typeof makeActions>;

/** Everything the screens can ask for. `services` settles once the browser's store has opened. */
export function makeActions(dispatch: Dispatch<Action>, state: () => AppState, services: Promise<Services>) {
  const tell = (message: string | undefined) => dispatch({ type: 'problem', message });
  const guarded =
    <A extends unknown[]>(work: (...args: A) => Promise<void>) =>
    async (...args: A): Promise<void> => {
      try {
        await work(...args);
      } catch (error) {
        const ours = error instanceof Error && error.name === 'InputError';
        tell(ours ? error.message : problemWords.unexpected(reason(error)));
      }
    };

  const refreshList = async () => {
    dispatch({ type: 'builds', builds: await (await services).shelf.list() });
    dispatch({ type: 'storage', storage: await storageState() });
  };

  /** Keeps photos; one that finds no room stays usable in memory and the builder is told. */
  const keepPhotos = async (buildId: string, photos: readonly KeptPhoto[]) => {
    try {
      await (await services).shelf.keepPhotos(photos);
    } catch (error) {
      if (!isOutOfSpace(error)) throw error;
      dispatch({ type: 'save', buildId, save: { kind: 'out-of-space' } });
    }
  };

  const start = async (opened: OpenedFiles, sample: boolean) => {
    const { shelf, saver, tabs } = await services;
    const id = newId();
    const { kept, entries } = photoEntries(id, opened.photos, []);
    // a shoot's photos keep the names the shoot gives them
    for (const [i, name] of (opened.shoot?.photos ?? []).entries())
      if (entries[i] && kept[i]) entries[i].name = kept[i].name = name;
    const build = newBuild({
      id,
      sample,
      photos: entries,
      ...(opened.plan ? { plan: opened.plan } : {}),
      ...(opened.shoot ? { shoot: opened.shoot } : {}),
    });
    const outcome = await shelf.save(build).catch((error: unknown) => {
      if (!isOutOfSpace(error)) throw error;
      return undefined;
    });
    const opening = outcome?.kind === 'saved' ? outcome.build : build;
    saver.readAt(id, opening.revision);
    dispatch({ type: 'opened', build: opening, checks: [] });
    if (!outcome) dispatch({ type: 'save', buildId: id, save: { kind: 'out-of-space' } });
    await keepPhotos(id, kept);
    goTo({ screen: 'build', id, step: opened.plan ? (opened.photos.length > 0 ? 'check' : 'mat') : 'plan' });
    tabs.tell(id, opening.revision);
    await askToPersist();
    await refreshList();
  };

  const open = async (id: string) => {
    const { shelf, saver } = await services;
    const build = await shelf.load(id);
    if (!build) return dispatch({ type: 'not-found', id });
    saver.readAt(id, build.revision);
    const checks = await shelf.checks(id);
    dispatch({ type: 'opened', build, checks });
    if (state().run?.buildId !== id) await shelf.dropUnusedPhotos(build);
  };

  /** Opens a build's zip beside what is here already; nothing kept is written over. */
  const openZip = async (file: File) => {
    const { shelf, saver } = await services;
    const outcome = await keepImported(shelf, await deskBridge.ask('import', { file, name: file.name }));
    const { build, checks } = outcome;
    if (outcome.kind === 'here') tell(transferWords.alreadyHere(build.document.plan.title));
    saver.readAt(build.id, build.revision);
    dispatch({ type: 'opened', build, checks });
    if (outcome.kind === 'no-room') dispatch({ type: 'save', buildId: build.id, save: { kind: 'out-of-space' } });
    goTo({ screen: 'build', id: build.id, step: checks.length > 0 ? 'check' : 'plan' });
    await refreshList();
  };

  return {
    refreshList: guarded(refreshList),
    open: guarded(open),
    /** Takes up checks that another tab made of the open build. */
    readChecks: guarded(async (buildId: string) => {
      dispatch({ type: 'checks', buildId, checks: await (await services).shelf.checks(buildId) });
    }),
    close: () => dispatch({ type: 'closed' }),
    create: guarded(() => start({ photos: [] }, false)),
    openFiles: guarded(async (files: readonly File[]) => {
      const zips = files.filter(isZip);
      for (const zip of zips) await openZip(zip);
      const rest = files.filter((file) => !isZip(file));
      if (zips.length > 0 && rest.length === 0) return;
      const opened = await readFiles(rest);
      if (!opened.plan && opened.photos.length === 0) return tell(problemWords.noPlan);
      await start(opened, false);
    }),
    openSample: guarded(async (onFile: (done: number, all: number) => void) => {
      const { fetchSample } = await import('../files/sample.ts');
      await start(await fetchSample(document.baseURI, onFile), true);
    }),
    remove: guarded(async (id: string) => {
      const { shelf, tabs } = await services;
      await shelf.remove(id);
      tabs.tell(id, -1);
      await refreshList();
    }),
    /** Changes the open build; `run` joins the changes of one field's typing into one step of undo. */
    edit: (name: string, change: (document: BuildDocument) => BuildDocument, run?: string) =>
      dispatch({ type: 'edit', name, change, ...(run === undefined ? {} : { run }) }),
    undo: () => dispatch({ type: 'undo' }),
    redo: () => dispatch({ type: 'redo' }),
    /** Settles when everything changed so far is kept; call it before anything that may end the page. */
    flush: async () => (await services).saver.flush(),
    addPhotos: guarded(async (files: readonly File[]) => {
      const build = state().build;
      if (!build || files.length === 0) return;
      const { kept, entries } = photoEntries(build.kept.id, files, build.history.present.shoot.photos);
      await keepPhotos(build.kept.id, kept);
      dispatch({
        type: 'edit',
        name: changeWords.addPhotos(entries.length),
        change: (document) => ({
          ...document,
          shoot: { ...document.shoot, photos: [...document.shoot.photos, ...entries] },
        }),
      });
    }),
    /** Begins another round of photos on the same mat; the last round's photos stay with its checks. */
    newRound: () =>
      dispatch({
        type: 'edit',
        name: changeWords.newRound,
        change: (document) => ({ ...document, shoot: { ...document.shoot, id: newId(), photos: [] } }),
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
    layOut: async (spec: LayoutSpec): Promise<LayoutResult> => deskBridge.ask('layOut', spec),
    guides: async () => (await services).shelf.guides(),
    keepGuide: guarded(async (guide: NamedGuide) => (await services).shelf.keepGuide(guide)),
    removeGuide: guarded(async (name: string) => (await services).shelf.removeGuide(name)),
    /** What the builder's own rods have in common, and how the one changed last shows its lengths. */
    habits: async (builds: readonly BuildSummary[]): Promise<{ habits: Habit[]; lengths: LengthDisplay }> => {
      const { shelf } = await services;
      const own = builds.filter((build) => !build.sample);
      const checks = await Promise.all(own.map(async ({ id }) => firstChecks(await shelf.checks(id))));
      const last = own[0] && (await shelf.load(own[0].id));
      return { habits: habitsOf(checks.flat()), lengths: last?.document.lengths ?? 'mm' };
    },
    photoFile: async (id: string) => (await services).shelf.photoFile(id),
    ...makeCheckActions(dispatch, state, services),
    dismissProblem: () => tell(undefined),
    tell,
    updateReady: () => dispatch({ type: 'update-ready' }),
    askToPersist: guarded(async () => {
      await askToPersist();
      await refreshList();
    }),
    retrySaving: guarded(async () => {
      const { shelf, saver } = await services;
      const build = state().build;
      if (!build) return;
      try {
        await shelf.retry();
        saver.save({ ...build.kept, document: build.history.present });
      } catch (error) {
        if (!isOutOfSpace(error)) throw error;
      }
    }),
    takeTheirs: guarded(async () => {
      const id = state().build?.kept.id;
      if (id) await open(id);
    }),
    keepAsCopy: guarded(async () => {
      const build = state().build;
      if (!build) return;
      const { shelf } = await services;
      await start(await copyOf(build.history.present, shelf.photoFile.bind(shelf)), build.kept.sample);
    }),
  };
}

/** The document a build's kept part and its present make together. */
export const asBuild = (build: NonNullable<AppState['build']>): Build => ({
  ...build.kept,
  document: build.history.present,
});
