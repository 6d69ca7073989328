import { createContext, type ReactNode, use, useEffect, useLayoutEffect, useMemo, useReducer, useState } from 'react';
import type { Actions } from './actions.ts';
import { makeSession } from './session.ts';
import { type AppState, emptyState, type OpenBuild, reduce } from './state.ts';
import { usePlace } from '../route/use_place.ts';

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
  const [session] = useState(() => makeSession(dispatch));
  const place = usePlace();
  const buildId = place.screen === 'build' ? place.id : undefined;

  useLayoutEffect(() => session.see(state), [session, state]);
  useEffect(() => session.start(), [session]);
  useEffect(() => session.goTo(buildId), [session, buildId]);

  const app = useMemo(() => ({ state, actions: session.actions }), [state, session]);
  return <AppContext value={app}>{children}</AppContext>;
}
