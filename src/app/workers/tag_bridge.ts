import type { WorkerLike } from './check_bridge.ts';
import { type TagAnswers, type TagRequest, tagReplySchema } from './tag_messages.ts';

interface Call {
  number: number;
  request: TagRequest;
  onFetching: (done: number) => void;
  resolve: (answer: TagAnswers[TagRequest['kind']]) => void;
  reject: (error: Error) => void;
}

/**
 * Asks the tag-reading worker, one request after the other, frames of the camera before photos that wait. The worker is
 * made on first use and ended after `idleMs` without work, and with it every byte it held. A call always settles.
 */
export class TagBridge {
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

  ask<K extends TagRequest['kind']>(
    request: Extract<TagRequest, { kind: K }>,
    onFetching: (done: number) => void = () => {},
  ): Promise<TagAnswers[K]> {
    return new Promise((resolve, reject) => {
      const call: Call = {
        number: ++this.#calls,
        request,
        onFetching,
        resolve: (answer) => resolve(answer as TagAnswers[K]),
        reject,
      };
      if (request.kind === 'frame') this.#queue.unshift(call);
      else this.#queue.push(call);
      this.#next();
    });
  }

  #next(): void {
    if (this.#running) return;
    clearTimeout(this.#idle);
    const call = this.#queue.shift();
    if (!call) {
      this.#idle = setTimeout(() => this.#endWorker(), this.#idleMs);
      return;
    }
    this.#running = call;
    try {
      this.#worker ??= this.#startWorker();
      const { request } = call;
      this.#worker.postMessage(
        { call: call.number, request },
        request.kind === 'frame' ? { transfer: [request.frame] } : {},
      );
    } catch (error) {
      this.#died(error instanceof Error ? error.message : String(error));
    }
  }

  #startWorker(): WorkerLike {
    const worker = this.#make();
    worker.onmessage = (event) => this.#hear(event.data);
    worker.onerror = (event) => this.#died(event.message || 'the tag reader could not be loaded');
    worker.onmessageerror = () => this.#died('the tag reader’s answer could not be read');
    return worker;
  }

  #hear(data: unknown): void {
    const reply = tagReplySchema.parse(data);
    const call = this.#running;
    if (!call || reply.call !== call.number) return;
    if (reply.kind === 'fetching') return call.onFetching(reply.done);
    this.#running = undefined;
    if (reply.kind === 'answer') call.resolve(reply.answer);
    else call.reject(new Error(reply.message));
    this.#next();
  }

  #died(why: string): void {
    const call = this.#running;
    this.#running = undefined;
    this.#endWorker();
    call?.reject(new Error(why));
    this.#next();
  }

  #endWorker(): void {
    clearTimeout(this.#idle);
    this.#worker?.terminate();
    this.#worker = undefined;
  }
}
