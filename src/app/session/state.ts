import type { Build, BuildDocument, BuildSummary, KeptCheck } from '../../store/build.ts';
import type { StorageState } from '../../store/space.ts';
import { withoutLostPlaces } from '../edits/hand_places.ts';
import { changed, type History, redone, startHistory, undone } from '../edits/history.ts';

export interface OpenBuild {
  kept: Omit<Build, 'document'>;
  history: History<BuildDocument>;
  /** the last one first */
  checks: KeptCheck[];
  /** what the photos told that had come in by then; no check, and not kept */
  soFar?: KeptCheck;
}

/** A check under way, or how the last one ended without an answer. */
export type CheckRun =
  /** `answer`: what it says, once only its pictures are to be drawn */
  | { kind: 'running'; buildId: string; stage: string; done: number; answer?: KeptCheck }
  | { kind: 'failed'; buildId: string; message: string }
  | { kind: 'stopped'; buildId: string }
  /** the page was closed or reloaded in the middle of it */
  | { kind: 'interrupted'; buildId: string };

export type SaveState =
  | { kind: 'saved' }
  | { kind: 'saving' }
  | { kind: 'out-of-space' }
  | { kind: 'failed'; message: string }
  | { kind: 'changed-elsewhere' }
  | { kind: 'gone' };

export interface AppState {
  /** undefined until the browser's store has answered */
  builds: BuildSummary[] | undefined;
  /** the browser keeps nothing: why, in its words */
  storeProblem?: string;
  storage?: StorageState;
  build?: OpenBuild;
  /** an asked-for build that is not kept here */
  missing?: { id: string; damaged: boolean };
  save: SaveState;
  run?: CheckRun;
  /** one sentence about the last thing that did not work; taken away by the builder */
  problem?: string;
  /** a newer version waits to be loaded, or another tab has loaded it */
  update: 'none' | 'ready' | 'taken';
}

export type Action =
  | { type: 'builds'; builds: BuildSummary[] }
  | { type: 'store-problem'; message: string }
  | { type: 'storage'; storage: StorageState }
  | { type: 'opened'; build: Build; checks: KeptCheck[]; save?: SaveState }
  | { type: 'not-found'; id: string; damaged: boolean }
  | { type: 'closed' }
  | { type: 'edit'; name: string; run?: string; change: (document: BuildDocument) => BuildDocument }
  | { type: 'undo' }
  | { type: 'redo' }
  | { type: 'save'; save: SaveState; buildId: string; kept?: Omit<Build, 'document'> }
  | { type: 'check-kept'; check: KeptCheck }
  | { type: 'measured-so-far'; soFar: KeptCheck }
  | { type: 'checks'; buildId: string; checks: KeptCheck[] }
  | { type: 'run'; run: CheckRun | undefined }
  | { type: 'problem'; message: string | undefined }
  | { type: 'update'; update: AppState['update'] };

export const emptyState: AppState = { builds: undefined, save: { kind: 'saved' }, update: 'none' };

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
        save: action.save ?? { kind: 'saving' },
      };
    }
    case 'not-found':
      return { ...without(state, 'build'), missing: { id: action.id, damaged: action.damaged } };
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
    case 'measured-so-far':
      if (state.build?.kept.id !== action.soFar.buildId) return state;
      return { ...state, build: { ...state.build, soFar: action.soFar } };
    case 'checks':
      if (state.build?.kept.id !== action.buildId) return state;
      return { ...state, build: { ...state.build, checks: action.checks } };
    case 'run':
      return action.run ? { ...state, run: action.run } : without(state, 'run');
    case 'problem':
      return action.message === undefined ? without(state, 'problem') : { ...state, problem: action.message };
    case 'update':
      // what another tab has loaded is no longer only ready
      return state.update === 'taken' ? state : { ...state, update: action.update };
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
