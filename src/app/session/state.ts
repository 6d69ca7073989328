import type { Build, BuildDocument, BuildSummary, KeptCheck } from '../../store/build.ts';
import type { StorageState } from '../../store/space.ts';
import { withoutLostPlaces } from '../edits/hand_places.ts';
import { changed, type History, redone, startHistory, undone } from '../edits/history.ts';

export interface OpenBuild {
  kept: Omit<Build, 'document'>;
  history: History<BuildDocument>;
  /** the last one first */
  checks: KeptCheck[];
}

/** A check under way, or how the last one ended without an answer. */
export type CheckRun =
  | { kind: 'running'; buildId: string; stage: string; done: number }
  | { kind: 'failed'; buildId: string; message: string }
  | { kind: 'stopped'; buildId: string }
  /** the page was closed or reloaded in the middle of it */
  | { kind: 'interrupted'; buildId: string };

export type SaveState =
  | { kind: 'saved' }
  | { kind: 'saving' }
  | { kind: 'out-of-space' }
  | { kind: 'failed'; message: string }
  | { kind: 'changed-elsewhere'; theirs: Build }
  | { kind: 'gone' };

export interface AppState {
  /** undefined until the browser's store has answered */
  builds: BuildSummary[] | undefined;
  /** the browser keeps nothing: why, in its words */
  storeProblem?: string;
  storage?: StorageState;
  build?: OpenBuild;
  /** an asked-for build that is not kept here */
  missing?: string;
  save: SaveState;
  run?: CheckRun;
  /** one sentence about the last thing that did not work; taken away by the builder */
  problem?: string;
  updateReady: boolean;
}

export type Action =
  | { type: 'builds'; builds: BuildSummary[] }
  | { type: 'store-problem'; message: string }
  | { type: 'storage'; storage: StorageState }
  | { type: 'opened'; build: Build; checks: KeptCheck[] }
  | { type: 'not-found'; id: string }
  | { type: 'closed' }
  | { type: 'edit'; name: string; run?: string; change: (document: BuildDocument) => BuildDocument }
  | { type: 'undo' }
  | { type: 'redo' }
  | { type: 'save'; save: SaveState; buildId: string; kept?: Omit<Build, 'document'> }
  | { type: 'check-kept'; check: KeptCheck }
  | { type: 'checks'; buildId: string; checks: KeptCheck[] }
  | { type: 'run'; run: CheckRun | undefined }
  | { type: 'problem'; message: string | undefined }
  | { type: 'update-ready' };

export const emptyState: AppState = { builds: undefined, save: { kind: 'saved' }, updateReady: false };

export function reduce(state: AppState, action: Action): AppState {
  switch (action.type) {
    case 'builds':
      return { ...state, builds: action.builds };
    case 'store-problem':
      return { ...state, builds: state.builds ?? [], storeProblem: action.message };
    case 'storage':
      return { ...state, storage: action.storage };
    case 'opened': {
      const { document, ...kept } = action.build;
      const { missing: _, ...rest } = state;
      return {
        ...rest,
        build: { kept, history: startHistory(document), checks: action.checks },
        save: { kind: 'saved' },
      };
    }
    case 'not-found':
      return { ...without(state, 'build'), missing: action.id };
    case 'closed':
      return { ...without(without(state, 'build'), 'missing'), save: { kind: 'saved' } };
    case 'edit':
      return withHistory(state, (history) => {
        const next = withoutLostPlaces(history.present, action.change(history.present));
        return changed(history, next, action.name, action.run);
      });
    case 'undo':
      return withHistory(state, undone);
    case 'redo':
      return withHistory(state, redone);
    case 'save':
      if (state.build?.kept.id !== action.buildId) return state;
      return {
        ...state,
        save: action.save,
        ...(action.kept ? { build: { ...state.build, kept: action.kept } } : {}),
      };
    case 'check-kept':
      if (state.build?.kept.id !== action.check.buildId) return state;
      return { ...state, build: { ...state.build, checks: [action.check, ...state.build.checks] } };
    case 'checks':
      if (state.build?.kept.id !== action.buildId) return state;
      return { ...state, build: { ...state.build, checks: action.checks } };
    case 'run':
      return action.run ? { ...state, run: action.run } : without(state, 'run');
    case 'problem':
      return action.message === undefined ? without(state, 'problem') : { ...state, problem: action.message };
    case 'update-ready':
      return { ...state, updateReady: true };
  }
}

function without<K extends 'build' | 'missing' | 'run' | 'problem'>(state: AppState, key: K): AppState {
  const { [key]: _, ...rest } = state;
  return rest as AppState;
}

function withHistory(state: AppState, change: (history: History<BuildDocument>) => History<BuildDocument>): AppState {
  if (!state.build) return state;
  const history = change(state.build.history);
  return history === state.build.history ? state : { ...state, build: { ...state.build, history } };
}
