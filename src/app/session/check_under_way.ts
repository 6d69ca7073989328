import { checkBridge } from '../workers/bridges.ts';
import type { CheckAnswer, CheckProgress } from '../workers/check_tasks.ts';
import { Superseded } from '../workers/worker_bridge.ts';
import type { AskedCheck } from './asked_check.ts';

/** A check that was asked for, and its answer. */
interface UnderWay {
  name: string;
  stop: AbortController;
  answer: Promise<CheckAnswer>;
  told: CheckProgress | undefined;
  listeners: Set<(progress: CheckProgress) => void>;
}

/**
 * The one check at a time that the worker is at, or has answered last: who asks the same again shares it, who asks
 * something else takes its place.
 */
export function makeCheckUnderWay(bridge: Pick<typeof checkBridge, 'ask'> = checkBridge) {
  let now: UnderWay | undefined;

  const begin = ({ name, request }: AskedCheck): UnderWay => {
    const stop = new AbortController();
    const listeners = new Set<(progress: CheckProgress) => void>();
    const answer = bridge.ask('check', request, {
      signal: stop.signal,
      onProgress: (progress) => {
        own.told = progress;
        for (const listener of listeners) listener(progress);
      },
    });
    const own: UnderWay = { name, stop, answer, told: undefined, listeners };
    // what failed is tried anew when it is asked for again
    answer.catch(() => {
      if (now === own) now = undefined;
    });
    return own;
  };

  return {
    /** The answer to what is asked; `stop` ends it for good. Throws InputError, or why it was ended. */
    async ask(
      asked: AskedCheck,
      { stop, onProgress }: { stop?: AbortSignal; onProgress?: (progress: CheckProgress) => void } = {},
    ): Promise<CheckAnswer> {
      if (now?.name !== asked.name) {
        now?.stop.abort(new Superseded());
        now = begin(asked);
      }
      const own = now;
      const end = () => own.stop.abort(stop?.reason);
      stop?.addEventListener('abort', end);
      if (onProgress) {
        own.listeners.add(onProgress);
        if (own.told) onProgress(own.told);
      }
      try {
        stop?.throwIfAborted();
        return await own.answer;
      } finally {
        stop?.removeEventListener('abort', end);
        if (onProgress) own.listeners.delete(onProgress);
      }
    },
    /** Leaves the check that is under way; the worker keeps what it has read. */
    leave: () => {
      now?.stop.abort(new Superseded());
      now = undefined;
    },
  };
}

export type CheckUnderWay = ReturnType<typeof makeCheckUnderWay>;
