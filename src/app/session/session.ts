import type { Dispatch } from 'react';
import { asBuild } from './action_context.ts';
import { makeActions } from './actions.ts';
import { takeInterrupted } from './interrupted.ts';
import { startServices } from './services.ts';
import { type Action, type AppState, emptyState } from './state.ts';

/** What goes on beside the screens for as long as the page lives: saving, other tabs, checks. */
export function makeSession(dispatch: Dispatch<Action>) {
  let state: AppState = emptyState;

  const services = startServices({
    onSave: ({ save, build, written }) => {
      const { document: _, ...kept } = build;
      dispatch({ type: 'save', save, buildId: build.id, ...(written ? { kept } : {}) });
      if (written) void services.then(({ tabs }) => tabs.tell(build.id, build.revision));
    },
    onOtherTab: (id, revision) => {
      void actions.refreshList();
      if (state.build?.kept.id !== id) return;
      if (revision < 0) return dispatch({ type: 'save', buildId: id, save: { kind: 'gone' } });
      void services.then(({ saver }) => {
        if (saver.knows(id, revision)) void actions.readChecks(id);
        else if (state.save.kind === 'saved') void actions.open(id);
      });
    },
    onStoreProblem: (message) => dispatch({ type: 'store-problem', message }),
  });
  const actions = makeActions(dispatch, () => state, services);

  return {
    actions,
    /** Begins; the returned function ends it. */
    start(): () => void {
      void actions.refreshList();
      let unsaved = () => false;
      void services.then(({ saver }) => {
        unsaved = () => saver.holdsUnsaved();
      });
      const askBeforeLeaving = (event: BeforeUnloadEvent) => {
        if (unsaved()) event.preventDefault();
      };
      window.addEventListener('beforeunload', askBeforeLeaving);
      const cut = takeInterrupted();
      if (cut) dispatch({ type: 'run', run: { kind: 'interrupted', buildId: cut } });
      return () => window.removeEventListener('beforeunload', askBeforeLeaving);
    },
    /** Takes in the state that now shows, and saves the open build when it was changed. */
    see(next: AppState): void {
      const before = state.build;
      const { build } = next;
      state = next;
      actions.followPhotos(before, build);
      if (!build || build.history.present === before?.history.present) return;
      const { past, future } = build.history;
      if (past.length + future.length > 0) void services.then(({ saver }) => saver.save(asBuild(build)));
    },
    /** Opens the build a place names, or closes the open one. */
    goTo(buildId: string | undefined): void {
      if (buildId === undefined) {
        actions.close();
        void actions.refreshList();
      } else if (state.build?.kept.id !== buildId) void actions.open(buildId);
    },
  };
}
