import type { BuildDocument } from '../../store/build.ts';
import { askToPersist } from '../../store/space.ts';
import { copyOf, photoEntries } from '../files/added_photos.ts';
import { newId } from '../../store/new_id.ts';
import { newBuild } from '../files/new_build.ts';
import type { OpenedFiles } from '../files/open_files.ts';
import { goTo } from '../route/use_place.ts';
import { problemWords } from '../words/problem_words.ts';
import type { ActionContext } from './action_context.ts';

/** Begins a build with what was opened, keeps it and shows it. */
export async function begin(context: ActionContext, opened: OpenedFiles, sample: boolean): Promise<void> {
  const { dispatch, services, refreshList } = context;
  const { shelf, saver } = await services;
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
  dispatch({ type: 'opened', build, checks: [] });
  await shelf.keepPhotos(kept);
  await saver.save(build);
  goTo({ screen: 'build', id, step: opened.plan ? (opened.photos.length > 0 ? 'check' : 'mat') : 'plan' });
  await askToPersist();
  await refreshList();
}

/** Shows a kept build as it is kept now. */
export async function openBuild({ dispatch, services, tell }: ActionContext, id: string): Promise<void> {
  const { shelf, saver } = await services;
  const build = await shelf.load(id);
  if (!build || build === 'damaged') return dispatch({ type: 'not-found', id, damaged: build === 'damaged' });
  saver.readAt(id, build.revision);
  const { checks, damaged } = await shelf.checks(id);
  dispatch({ type: 'opened', build, checks, save: saver.stateOf(build) });
  if (damaged > 0) tell(problemWords.damagedChecks(damaged));
}

/** The list of builds, and the open one: beginning, opening, changing, throwing away. */
export function makeBuildActions(context: ActionContext) {
  const { dispatch, state, services, guarded, refreshList } = context;
  return {
    refreshList: guarded(refreshList),
    open: guarded((id: string) => openBuild(context, id)),
    close: () => dispatch({ type: 'closed' }),
    create: guarded(() => begin(context, { photos: [] }, false)),
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
    takeTheirs: guarded(async () => {
      const id = state().build?.kept.id;
      if (id) await openBuild(context, id);
    }),
    keepAsCopy: guarded(async () => {
      const build = state().build;
      if (!build) return;
      const { shelf } = await services;
      await begin(context, await copyOf(build.history.present, shelf.photoFile.bind(shelf)), build.kept.sample);
    }),
  };
}
