import * as z from 'zod/mini';
import { InputError } from '../../plan/input_error.ts';
import type { WorkerLike } from './check_bridge.ts';
import type { DeskTasks } from './desk_tasks.ts';

const replySchema = z.union([
  z.object({ call: z.number(), fault: z.string(), expected: z.boolean() }),
  z.object({ call: z.number(), answer: z.custom<DeskTasks[keyof DeskTasks]['answer']>() }),
]);

interface Call {
  resolve: (answer: never) => void;
  reject: (error: unknown) => void;
}

/**
 * Asks the desk's worker, made on first use. A call settles with its answer, with InputError where what was handed over
 * is wrong, or with an Error when the worker failed; a failed worker is made anew for the next call.
 */
export class DeskBridge {
  readonly #make: () => WorkerLike;
  #worker: WorkerLike | undefined;
  #calls = 0;
  readonly #open = new Map<number, Call>();

  constructor(make: () => WorkerLike) {
    this.#make = make;
  }

  ask<K extends keyof DeskTasks>(task: K, input: DeskTasks[K]['input']): Promise<DeskTasks[K]['answer']> {
    return new Promise((resolve, reject) => {
      const call = ++this.#calls;
      this.#open.set(call, { resolve, reject });
      try {
        this.#worker ??= this.#start();
        this.#worker.postMessage({ call, request: { task, input } });
      } catch (error) {
        this.#died(error instanceof Error ? error.message : String(error));
      }
    });
  }

  #start(): WorkerLike {
    const worker = this.#make();
    worker.onmessage = (event) => this.#hear(event.data);
    worker.onerror = (event) => this.#died(event.message || 'a part of the app could not be loaded');
    worker.onmessageerror = () => this.#died('its answer could not be read');
    return worker;
  }

  #hear(data: unknown): void {
    const read = replySchema.safeParse(data);
    if (!read.success) return this.#died('its answer could not be understood');
    const call = this.#open.get(read.data.call);
    this.#open.delete(read.data.call);
    if ('fault' in read.data)
      call?.reject(read.data.expected ? new InputError(read.data.fault) : new Error(read.data.fault));
    else call?.resolve(read.data.answer as never);
  }

  #died(why: string): void {
    this.#worker?.terminate();
    this.#worker = undefined;
    for (const call of this.#open.values()) call.reject(new Error(why));
    this.#open.clear();
  }
}
