import { createContext, type ReactNode, use, useEffect, useMemo, useReducer, useRef } from 'react';
import { type Actions, asBuild, makeActions } from './actions.ts';
import { takeInterrupted } from './interrupted.ts';
import { type Services, startServices } from './services.ts';
import { type AppState, emptyState, type OpenBuild, reduce } from './state.ts';
import { usePlace } from './use_place.ts';

interface App {
  state: AppState;
  actions: Actions;
}

const AppContext = createContext<App | undefined>(undefined);

/** The app's state and everything it can do. */
export function useApp(): App {
  const app = use(AppContext);
  if (!app) throw new Error('useApp outside of AppProvider');
  return app;
}

/** The open build; only within a build's screens. */
export function useBuild(): OpenBuild {
  const { build } = useApp().state;
  if (!build) throw new Error('useBuild without an open build');
  return build;
}

export function AppProvider({ children }: { children: ReactNode }) {
  const [state, dispatch] = useReducer(reduce, emptyState);
  const latest = useRef(state);
  latest.current = state;
  const place = usePlace();
  const buildId = place.screen === 'build' ? place.id : undefined;

  const started = useRef<{ services: Promise<Services>; actions: Actions } | undefined>(undefined);
  if (!started.current) {
    const services = startServices({
      onSave: (save, build) => {
        const { document: _, ...kept } = build;
        dispatch({ type: 'save', save, buildId: build.id, ...(save.kind === 'saved' ? { kept } : {}) });
        if (save.kind === 'saved') void services.then(({ tabs }) => tabs.tell(build.id, build.revision));
      },
      onOtherTab: (id, revision) => {
        void services.then(({ saver }) => {
          void actions.refreshList();
          if (latest.current.build?.kept.id !== id) return;
          if (revision < 0) dispatch({ type: 'save', buildId: id, save: { kind: 'gone' } });
          else if (latest.current.save.kind === 'saved' && !saver.knows(id, revision)) void actions.open(id);
        });
      },
      onStoreProblem: (message) => dispatch({ type: 'store-problem', message }),
    });
    const actions = makeActions(dispatch, () => latest.current, services);
    started.current = { services, actions };
  }
  const { services, actions } = started.current;

  useEffect(() => {
    void actions.refreshList();
    const cut = takeInterrupted();
    if (cut) dispatch({ type: 'run', run: { kind: 'interrupted', buildId: cut } });
  }, [actions]);

  useEffect(() => {
    if (!buildId) {
      actions.close();
      void actions.refreshList();
    } else if (latest.current.build?.kept.id !== buildId) void actions.open(buildId);
  }, [buildId, actions]);

  const document = state.build?.history.present;
  const saved = useRef(document);
  useEffect(() => {
    const build = latest.current.build;
    const before = saved.current;
    saved.current = document;
    const edited = build && (build.history.past.length > 0 || build.history.future.length > 0);
    if (build && edited && before !== document)
      void services.then(({ saver }) =>
        saver.save(asBuild({ ...build, kept: latest.current.build?.kept ?? build.kept })),
      );
  }, [document, services]);

  const app = useMemo(() => ({ state, actions }), [state, actions]);
  return <AppContext value={app}>{children}</AppContext>;
}
