import { type CheckAnswer, type CheckProgress, type CheckRequest, replySchema } from './check_messages.ts';
import { problemWords } from '../words/problem_words.ts';

/** The check could not be done; `expected` when the message is a sentence about what was handed over. */
export class CheckFailed extends Error {
  readonly expected: boolean;
  constructor(message: string, expected: boolean) {
    super(message);
    this.name = 'CheckFailed';
    this.expected = expected;
  }
}

/** The parts of a Worker the bridge uses. */
export type WorkerLike = Pick<Worker, 'postMessage' | 'terminate' | 'onmessage' | 'onmessageerror' | 'onerror'>;

interface Call {
  number: number;
  request: CheckRequest;
  signal: AbortSignal;
  onProgress: (progress: CheckProgress) => void;
  resolve: (answer: CheckAnswer) => void;
  reject: (error: unknown) => void;
}

/**
 * Runs checks one after another in a worker made on first use. Aborting the running one ends the worker, and with it
 * every byte it held; a worker without work is ended after `idleMs`. A call always settles: with the answer, with
 * `CheckFailed`, or with the signal's reason.
 */
export class CheckBridge {
  readonly #make: () => WorkerLike;
  readonly #idleMs: number;
  readonly #queue: Call[] = [];
  #running: Call | undefined;
  #worker: WorkerLike | undefined;
  #idle: ReturnType<typeof setTimeout> | undefined;
  #calls = 0;

  constructor(make: () => WorkerLike, idleMs = 20_000) {
    this.#make = make;
    this.#idleMs = idleMs;
  }

  check(
    request: CheckRequest,
    signal: AbortSignal,
    onProgress: (progress: CheckProgress) => void,
  ): Promise<CheckAnswer> {
    return new Promise((resolve, reject) => {
      if (signal.aborted) return reject(signal.reason);
      const call: Call = { number: ++this.#calls, request, signal, onProgress, resolve, reject };
      signal.addEventListener('abort', () => this.#abort(call), { once: true });
      this.#queue.push(call);
      this.#next();
    });
  }

  /** Ends the worker; whatever was running or waiting is rejected. */
  close(): void {
    const open = [...(this.#running ? [this.#running] : []), ...this.#queue.splice(0)];
    this.#endWorker();
    for (const call of open) call.reject(new CheckFailed('The check was closed.', false));
  }

  #abort(call: Call): void {
    const waiting = this.#queue.indexOf(call);
    if (waiting >= 0) this.#queue.splice(waiting, 1);
    else if (this.#running === call) this.#endWorker();
    else return;
    call.reject(call.signal.reason);
    this.#next();
  }

  #next(): void {
    if (this.#running) return;
    const call = this.#queue.shift();
    clearTimeout(this.#idle);
    if (!call) {
      if (this.#worker) this.#idle = setTimeout(() => this.#endWorker(), this.#idleMs);
      return;
    }
    this.#running = call;
    try {
      this.#worker ??= this.#startWorker();
      this.#worker.postMessage({ kind: 'check', call: call.number, request: call.request });
    } catch (error) {
      this.#died(error instanceof Error ? error.message : String(error));
    }
  }

  #startWorker(): WorkerLike {
    const worker = this.#make();
    worker.onmessage = (event) => this.#hear(event.data);
    // an error without a message is a script that did not arrive
    worker.onerror = (event) => (event.message ? this.#died(event.message) : this.#died(problemWords.notHere, true));
    worker.onmessageerror = () => this.#died('its answer could not be read');
    return worker;
  }

  #hear(data: unknown): void {
    const parsed = replySchema.safeParse(data);
    if (!parsed.success) return this.#died('its answer could not be understood');
    const reply = parsed.data;
    const call = this.#running;
    if (!call || reply.call !== call.number) return;
    if (reply.kind === 'progress') return call.onProgress({ stage: reply.stage, done: reply.done });
    this.#running = undefined;
    if (reply.kind === 'answer') call.resolve(reply.answer);
    else call.reject(new CheckFailed(reply.message, reply.expected));
    this.#next();
  }

  #died(why: string, expected = false): void {
    const call = this.#running;
    this.#endWorker();
    call?.reject(new CheckFailed(why, expected));
    this.#next();
  }

  #endWorker(): void {
    clearTimeout(this.#idle);
    this.#worker?.terminate();
    this.#worker = undefined;
    this.#running = undefined;
  }
}
