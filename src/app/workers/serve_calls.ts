import { reason } from '../../plan/reason.ts';
import type { Leave, Reply, Request, Tasks } from './worker_bridge.ts';
import * as z from 'zod/mini';

const requestSchema = z.union([
  z.object({ call: z.number(), task: z.string(), input: z.unknown() }),
  z.object({ leave: z.number() }),
]);

/** How a worker does each task it can be asked. */
export type Doers<T extends Tasks<T>> = {
  [K in keyof T]: (
    input: T[K]['input'],
    progress: (progress: T[K]['progress']) => void,
    /** hears what the page has sent by now; throws where nobody waits for the answer any more */
    goOn: () => Promise<void>,
  ) => Promise<T[K]['answer']> | T[K]['answer'];
};

/**
 * The worker's side of a `WorkerBridge`: answers each call, and holds a lock that is free once the worker has ended.
 */
export function serveCalls<T extends Tasks<T>>(doers: Doers<T>): void {
  const reply = (message: Reply) => postMessage(message);
  let left: number | undefined;
  self.onmessage = async (event: MessageEvent<unknown>) => {
    const message = requestSchema.parse(event.data) as Request<T> | Leave;
    if ('leave' in message) {
      left = message.leave;
      return;
    }
    const { call, task, input } = message;
    const goOn = async () => {
      await new Promise((resolve) => setTimeout(resolve));
      if (left === call) throw new Error('nobody waits for this any more');
    };
    try {
      const answer = await doers[task](input, (progress) => reply({ kind: 'progress', call, progress }), goOn);
      reply({ kind: 'answer', call, answer });
    } catch (error) {
      const expected = error instanceof Error && error.name === 'InputError';
      reply({ kind: 'failed', call, message: reason(error), expected });
    }
  };
  // there are no locks over plain http
  if (!('locks' in navigator)) return reply({ kind: 'here' });
  const lock = `prewrap-worker-${Array.from(crypto.getRandomValues(new Uint32Array(4))).join('-')}`;
  void navigator.locks.request(lock, () => {
    reply({ kind: 'here', lock });
    return new Promise(() => {});
  });
}
