import * as z from 'zod/mini';
import { InputError } from '../../plan/input_error.ts';

/** The parts of a Worker the bridge uses. */
export type WorkerLike = Pick<Worker, 'postMessage' | 'terminate' | 'onmessage' | 'onmessageerror' | 'onerror'>;

/** What a worker can be asked: for each task what is handed over, what is told on the way, what comes back. */
export type Tasks<T> = Record<keyof T, { input: unknown; progress: unknown; answer: unknown }>;

/** How a worker's replies on the way and at the end are known for what they are. */
export type ReplySchemas<T extends Tasks<T>> = {
  [K in keyof T]: { progress: z.ZodMiniType<T[K]['progress']>; answer: z.ZodMiniType<T[K]['answer']> };
};

export interface AskOptions<Progress> {
  /**
   * aborting a running call ends the worker, and with it every byte it held; for the reason `Superseded` the worker is
   * asked to leave the call where it can, and keeps what it remembers
   */
  signal?: AbortSignal;
  onProgress?: (progress: Progress) => void;
  /** goes before calls that wait */
  ahead?: boolean;
  transfer?: Transferable[];
}

export const replySchema = z.discriminatedUnion('kind', [
  /** the first thing a worker says: it runs, and holds the lock of this name for as long as it does */
  z.object({ kind: z.literal('here'), lock: z.optional(z.string()) }),
  z.object({ kind: z.literal('progress'), call: z.number(), progress: z.unknown() }),
  z.object({ kind: z.literal('answer'), call: z.number(), answer: z.unknown() }),
  /** `expected`: one sentence for the builder about what they handed over; otherwise a fault of the app */
  z.object({ kind: z.literal('failed'), call: z.number(), message: z.string(), expected: z.boolean() }),
]);
export type Reply = z.infer<typeof replySchema>;

/** What goes to a worker. */
export interface Request<T extends Tasks<T>> {
  call: number;
  task: keyof T;
  input: T[keyof T]['input'];
}

/** That nobody waits for a call's answer any more. */
export interface Leave {
  leave: number;
}

/** Why a call is aborted whose answer is out of date: the next one asks for more of the same. */
export class Superseded extends Error {}

export interface BridgeSettings<T extends Tasks<T>> {
  make: () => WorkerLike;
  replies: ReplySchemas<T>;
  /** why the worker's script did not arrive, in a sentence for the builder */
  whyNotHere: () => Promise<string>;
  /** hears that a worker was ended */
  onEnd?: () => void;
  /** a worker without work is ended after this, ms */
  idleMs?: number;
  /** settles when nobody holds the lock of this name any more; absent where the browser has no locks (plain http) */
  lockFree?: (name: string, signal: AbortSignal) => Promise<void>;
}

interface Call<T extends Tasks<T>> {
  request: Request<T>;
  options: AskOptions<never>;
  resolve: (answer: never) => void;
  reject: (error: unknown) => void;
}

/**
 * Asks a worker, one call after the other. The worker is made on first use and ended when it has been idle. A call
 * always settles: with its answer; with InputError where what was handed over is wrong or the worker's script cannot be
 * had; with the signal's reason; or with an Error when the worker failed, ended without a word, or said what makes no
 * sense. The next call then has a new worker.
 */
export class WorkerBridge<T extends Tasks<T>> {
  readonly #settings: BridgeSettings<T>;
  readonly #queue: Call<T>[] = [];
  #running: Call<T> | undefined;
  #worker: WorkerLike | undefined;
  #life: AbortController | undefined;
  #idle: ReturnType<typeof setTimeout> | undefined;
  #calls = 0;

  constructor(settings: BridgeSettings<T>) {
    this.#settings = settings;
  }

  /** calls that are not settled */
  get inHand(): number {
    return this.#queue.length + (this.#running ? 1 : 0);
  }

  ask<K extends keyof T>(
    task: K,
    input: T[K]['input'],
    options: AskOptions<T[K]['progress']> = {},
  ): Promise<T[K]['answer']> {
    return new Promise((resolve, reject) => {
      const { signal, ahead } = options;
      if (signal?.aborted) return reject(signal.reason);
      const call: Call<T> = { request: { call: ++this.#calls, task, input }, options, resolve, reject };
      signal?.addEventListener('abort', () => this.#abort(call), { once: true });
      if (ahead) this.#queue.unshift(call);
      else this.#queue.push(call);
      this.#next();
    });
  }

  #abort(call: Call<T>): void {
    const waiting = this.#queue.indexOf(call);
    const reason: unknown = call.options.signal?.reason;
    if (waiting >= 0) this.#queue.splice(waiting, 1);
    else if (this.#running !== call) return;
    // it is still the running one until the worker has let go of it
    else if (reason instanceof Superseded) this.#worker?.postMessage({ leave: call.request.call } satisfies Leave);
    else this.#endWorker();
    call.reject(reason);
    this.#next();
  }

  #next(): void {
    if (this.#running) return;
    clearTimeout(this.#idle);
    const call = this.#queue.shift();
    if (!call) {
      if (this.#worker) this.#idle = setTimeout(() => this.#endWorker(), this.#settings.idleMs ?? 20_000);
      return;
    }
    this.#running = call;
    try {
      this.#worker ??= this.#startWorker();
      this.#worker.postMessage(call.request, { transfer: call.options.transfer ?? [] });
    } catch (error) {
      this.#died(error instanceof Error ? error : new Error(String(error)));
    }
  }

  #startWorker(): WorkerLike {
    const worker = this.#settings.make();
    this.#life = new AbortController();
    worker.onmessage = (event) => this.#worker === worker && this.#hear(event.data);
    worker.onerror = (event) => {
      if (this.#worker !== worker) return;
      if (event.message) this.#died(new Error(event.message));
      // an error without a message is a script that did not arrive
      else void this.#settings.whyNotHere().then((why) => this.#worker === worker && this.#died(new InputError(why)));
    };
    worker.onmessageerror = () => this.#worker === worker && this.#died(new Error('its answer could not be read'));
    return worker;
  }

  #hear(data: unknown): void {
    const parsed = replySchema.safeParse(data);
    if (!parsed.success) return this.#died(new Error('its answer could not be understood'));
    const reply = parsed.data;
    if (reply.kind === 'here') return this.#watch(reply.lock);
    const call = this.#running;
    if (!call || reply.call !== call.request.call) return;
    const schemas = this.#settings.replies[call.request.task];
    if (reply.kind === 'progress') {
      const read = schemas.progress.safeParse(reply.progress);
      if (!read.success) return this.#died(new Error('what it said on the way could not be understood'));
      return call.options.onProgress?.(read.data as never);
    }
    if (reply.kind === 'failed') {
      this.#running = undefined;
      call.reject(reply.expected ? new InputError(reply.message) : new Error(reply.message));
    } else {
      const read = schemas.answer.safeParse(reply.answer);
      if (!read.success) return this.#died(new Error('its answer could not be understood'));
      this.#running = undefined;
      call.resolve(read.data as never);
    }
    this.#next();
  }

  /** A worker that ends, for whatever reason and without a word, lets go of its lock. */
  #watch(lock: string | undefined): void {
    const worker = this.#worker;
    const life = this.#life;
    if (lock === undefined || !life || !this.#settings.lockFree) return;
    this.#settings.lockFree(lock, life.signal).then(
      () => this.#worker === worker && !life.signal.aborted && this.#died(new Error('it ended without a word')),
      () => {},
    );
  }

  #died(why: Error): void {
    const call = this.#running;
    this.#endWorker();
    call?.reject(why);
    this.#next();
  }

  #endWorker(): void {
    clearTimeout(this.#idle);
    this.#life?.abort();
    this.#worker?.terminate();
    this.#worker = undefined;
    this.#running = undefined;
    this.#settings.onEnd?.();
  }
}
