import { reason } from '../../plan/reason.ts';
import { InputError } from '../../plan/input_error.ts';
import type { Shelf } from '../../store/shelf.ts';
import { fileStem, saveAs } from '../files/build_transfer.ts';
import { type ActionContext, asBuild } from './action_context.ts';

/** Keeps a lens or a mat on the shelf, and has the open build looked at again with it. */
export const keeping =
  <Kept>({ state, services }: ActionContext, put: (shelf: Shelf, kept: Kept) => Promise<unknown>) =>
  async (kept: Kept): Promise<void> => {
    const { shelf, saver } = await services;
    await put(shelf, kept);
    const build = state().build;
    if (build) saver.review(asBuild(build));
  };

/** What is made of photos, or nothing where it was stopped, or refused: then that is said. */
export async function madeOrTold<Made>(
  { tell }: ActionContext,
  make: () => Promise<Made>,
  signal: AbortSignal,
  fault: (why: string) => string,
): Promise<Made | undefined> {
  tell(undefined);
  try {
    return await make();
  } catch (error) {
    if (signal.aborted) return undefined;
    const why = reason(error);
    tell(error instanceof InputError ? why : fault(why));
    return undefined;
  }
}

/** Saves a kept lens or mat as its file. */
export const saveProfile = ({ text, name }: { text: string; name: string }, kind: 'lens' | 'mat'): void =>
  saveAs(new Blob([text], { type: 'application/json' }), `${fileStem(name)}.${kind}.json`);
