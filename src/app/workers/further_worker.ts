import type { FurtherThread } from '../../check/second_hand.ts';

/** Taken before the worker that imports this locks itself down. */
const { Worker } = globalThis;

/** A further worker takes some 100 MB: none is started on a device that says it has less than this, GB. */
const leastMemory = 4;

/**
 * Starts a further worker for pieces of a check, where the device has a core and memory for it. It ends with the worker
 * that started it.
 */
export function startFurtherWorker(): FurtherThread | undefined {
  // only some browsers say how much memory there is
  const { hardwareConcurrency, deviceMemory = leastMemory } = navigator as { deviceMemory?: number } & Navigator;
  if (hardwareConcurrency < 2 || deviceMemory < leastMemory) return undefined;
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
