import type { Dispatch } from 'react';
import { makeContext } from './action_context.ts';
import { makeBuildActions } from './build_actions.ts';
import { makeCheckActions } from './check_actions.ts';
import { makeLensActions } from './lens_actions.ts';
import { makeMatActions } from './mat_actions.ts';
import { makePhotoActions } from './photo_actions.ts';
import type { Services } from './services.ts';
import { makeShelfActions } from './shelf_actions.ts';
import type { Action, AppState } from './state.ts';
import { makeExportActions } from './export_actions.ts';
import { makeTransferActions } from './transfer_actions.ts';

export type Actions = ReturnType<typeof makeActions>;

/** Everything the screens can ask for. `services` settles once the browser's store has opened. */
export function makeActions(dispatch: Dispatch<Action>, state: () => AppState, services: Promise<Services>) {
  const context = makeContext(dispatch, state, services);
  return {
    ...makeBuildActions(context),
    ...makeExportActions(context),
    ...makeTransferActions(context),
    ...makePhotoActions(context),
    ...makeShelfActions(context),
    ...makeCheckActions(context),
    ...makeLensActions(context),
    ...makeMatActions(context),
    dismissProblem: () => context.tell(undefined),
    tell: context.tell,
    update: (update: AppState['update']) => dispatch({ type: 'update', update }),
  };
}
