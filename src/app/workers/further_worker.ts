import type { FurtherThread } from '../../check/second_hand.ts';
import { deviceHas } from './device_room.ts';

/** Taken before the worker that imports this locks itself down. */
const { Worker } = globalThis;

/**
 * What a device has at least where a further worker is started, which takes some 100 MB: cores, GB. Of two cores photos
 * that come in want one, but only now and then, and after the last one none.
 */
const least = { cores: 2, memory: 4 } as const;

/**
 * Starts a further worker for pieces of a check, where the device has a core and memory for it. It ends with the worker
 * that started it.
 */
export function startFurtherWorker(): FurtherThread | undefined {
  if (!deviceHas(least.cores, least.memory)) return undefined;
  const worker = new Worker(new URL('./hand.worker.ts', import.meta.url), { type: 'module' });
  const over = new Promise<void>((resolve) => {
    worker.onerror = (event) => {
      // its pieces are done here: nobody else need hear of it
      event.preventDefault();
      resolve();
    };
    worker.onmessageerror = () => resolve();
  });
  return {
    post: (message, transfer) => worker.postMessage(message, transfer),
    listen({ message, ended }) {
      worker.onmessage = (event: MessageEvent<unknown>) => message(event.data);
      void over.then(ended);
    },
    end: () => worker.terminate(),
  };
}
