import { availableParallelism, totalmem } from 'node:os';
import { extname } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Worker } from 'node:worker_threads';
import { type Hands, oneHand } from '../check/hands.ts';
import { piecesBy } from '../check/pieces.ts';
import { type FurtherThread, twoHands } from '../check/second_hand.ts';
import { type FinderWeights, loadFinder } from '../vision/finder/finder.ts';

/** A second thread takes some 100 MB more: none is started on a machine with less memory than this, bytes. */
const leastMemory = 3e9;
/** its pieces leave little behind at a time */
const maxYoungGenerationSizeMb = 24;

/**
 * The finder, and who does a check's pieces with it: this thread, and a second one where it may have one. One photo is
 * done before a second thread's code is made fast: there it would only take what makes this one's.
 */
export async function finderAndHands(
  weights: FinderWeights,
  photos: number,
  threads: number = availableParallelism(),
): Promise<{ finder: Awaited<ReturnType<typeof loadFinder>>; hands: Hands; letGo: () => void }> {
  const thread = photos > 1 && threads > 1 && totalmem() > leastMemory ? startThread() : undefined;
  const finder = await loadFinder(weights);
  const here = piecesBy(finder);
  if (!thread) return { finder, hands: oneHand(here), letGo: () => {} };
  const hands = twoHands(here, thread, weights);
  return { finder, hands, letGo: hands.letGo };
}

/** Starts a thread that does pieces; it does not keep the process alive. */
function startThread(): FurtherThread {
  // beside this file, as source or put together
  const script = new URL(`thread${extname(fileURLToPath(import.meta.url))}`, import.meta.url);
  const worker = new Worker(script, { resourceLimits: { maxYoungGenerationSizeMb } });
  worker.unref();
  // heard from the start: an error that nobody hears ends the whole process
  const over = new Promise<void>((resolve) => {
    for (const event of ['messageerror', 'error', 'exit'] as const) worker.on(event, () => resolve());
  });
  return {
    post: (message, transfer) => worker.postMessage(message, transfer),
    listen({ message, ended }) {
      worker.on('message', message);
      void over.then(ended);
    },
    end: () => void worker.terminate(),
  };
}
