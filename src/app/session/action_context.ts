import type { Dispatch } from 'react';
import { storageState } from '../../store/space.ts';
import { InputError } from '../../plan/input_error.ts';
import type { Build } from '../../store/build.ts';
import { problemWords } from '../words/problem_words.ts';
import { saveWords } from '../words/frame_words.ts';
import { reason } from '../../plan/reason.ts';
import type { Services } from './services.ts';
import type { Action, AppState } from './state.ts';

/** The document a build's kept part and its present make together. */
export const asBuild = (build: NonNullable<AppState['build']>): Build => ({
  ...build.kept,
  document: build.history.present,
});

/** What every action works with. */
export interface ActionContext {
  dispatch: Dispatch<Action>;
  state: () => AppState;
  services: Promise<Services>;
  /** one sentence to the builder, or none any more */
  tell: (message: string | undefined) => void;
  /** the work, with whatever it throws told in a sentence */
  guarded: <A extends unknown[]>(work: (...args: A) => Promise<void>) => (...args: A) => Promise<void>;
  refreshList: () => Promise<void>;
}

export function makeContext(
  dispatch: Dispatch<Action>,
  state: () => AppState,
  services: Promise<Services>,
): ActionContext {
  const tell = (message: string | undefined) => dispatch({ type: 'problem', message });
  return {
    dispatch,
    state,
    services,
    tell,
    guarded:
      (work) =>
      async (...args) => {
        try {
          await work(...args);
        } catch (error) {
          tell(error instanceof InputError ? error.message : problemWords.unexpected(reason(error)));
        }
      },
    async refreshList() {
      try {
        dispatch({ type: 'builds', builds: await (await services).shelf.list() });
      } catch (error) {
        dispatch({ type: 'store-problem', message: saveWords.notListed(reason(error)) });
      }
      dispatch({ type: 'storage', storage: await storageState() });
    },
  };
}
