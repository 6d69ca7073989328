import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import * as z from 'zod/mini';
import {
  type Reply,
  type Request,
  Superseded,
  WorkerBridge,
  type WorkerLike,
} from '../../src/app/workers/worker_bridge.ts';
import { InputError } from '../../src/plan/input_error.ts';

interface Sums {
  add: { input: [number, number]; progress: number; answer: number };
  name: { input: string; progress: never; answer: string };
}

/** A worker that answers only when the test says so. */
class HeldWorker implements WorkerLike {
  sent: Request<Sums>[] = [];
  ended = false;
  onmessage: WorkerLike['onmessage'] = null;
  onmessageerror: WorkerLike['onmessageerror'] = null;
  onerror: WorkerLike['onerror'] = null;
  postMessage(message: unknown): void {
    this.sent.push(message as Request<Sums>);
  }
  terminate(): void {
    this.ended = true;
  }
  say(data: Reply | { kind: 'shrug' }): void {
    this.onmessage?.call(this as unknown as Worker, { data } as MessageEvent);
  }
  answer(answer: unknown): void {
    this.say({ kind: 'answer', call: this.sent.at(-1)!.call, answer });
  }
  die(message: string): void {
    this.onerror?.call(this as unknown as Worker, { message } as ErrorEvent);
  }
}

const workers: HeldWorker[] = [];
/** by the lock's name: lets it go, as the browser does when its worker has ended */
const locks = new Map<string, () => void>();
const bridgeOf = (idleMs = 1000) =>
  new WorkerBridge<Sums>({
    make: () => {
      workers.push(new HeldWorker());
      return workers.at(-1)!;
    },
    replies: {
      add: { progress: z.number(), answer: z.number() },
      name: { progress: z.never(), answer: z.string() },
    },
    whyNotHere: async () => 'The part was never fetched.',
    idleMs,
    lockFree: (name, signal) =>
      new Promise((resolve, reject) => {
        locks.set(name, resolve);
        signal.addEventListener('abort', () => reject(signal.reason));
      }),
  });

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
  workers.length = 0;
  locks.clear();
});

test('progress and answer reach the call they belong to', async () => {
  const seen: number[] = [];
  const result = bridgeOf().ask('add', [1, 2], { onProgress: (share) => seen.push(share) });
  const { call } = workers[0]!.sent[0]!;
  workers[0]!.say({ kind: 'progress', call: call + 1, progress: 0.9 });
  workers[0]!.say({ kind: 'progress', call, progress: 0.5 });
  workers[0]!.answer(3);
  expect(await result).toBe(3);
  expect(seen).toEqual([0.5]);
});

test('one call at a time in one worker, and one that may go ahead goes before those that wait', async () => {
  const bridge = bridgeOf();
  const all = [bridge.ask('add', [1, 0]), bridge.ask('add', [2, 0]), bridge.ask('name', 'x', { ahead: true })];
  expect(workers[0]!.sent.map(({ task }) => task)).toEqual(['add']);
  workers[0]!.answer(1);
  expect(workers[0]!.sent.map(({ task }) => task)).toEqual(['add', 'name']);
  workers[0]!.answer('x');
  workers[0]!.answer(2);
  expect(await Promise.all(all)).toEqual([1, 2, 'x']);
  expect(workers).toHaveLength(1);
});

test('aborting ends the worker, rejects with the reason, and the next call gets a new worker', async () => {
  const bridge = bridgeOf();
  const stop = new AbortController();
  const first = bridge.ask('add', [1, 2], { signal: stop.signal });
  const second = bridge.ask('add', [3, 4]);
  stop.abort(new Error('stopped by hand'));
  await expect(first).rejects.toThrow('stopped by hand');
  expect(workers[0]!.ended).toBe(true);
  workers[1]!.answer(7);
  expect(await second).toBe(7);
});

test('a call that is superseded is left: the worker lives, is told so, and takes the next call once it has let go', async () => {
  const bridge = bridgeOf();
  const stop = new AbortController();
  const first = bridge.ask('add', [1, 2], { signal: stop.signal });
  const second = bridge.ask('add', [3, 4]);
  const [worker] = workers;
  const { call } = worker!.sent[0]!;
  stop.abort(new Superseded());
  await expect(first).rejects.toBeInstanceOf(Superseded);
  expect(worker!.ended).toBe(false);
  expect(worker!.sent[1]).toEqual({ leave: call });
  worker!.say({ kind: 'failed', call, message: 'nobody waits for this any more', expected: false });
  expect(worker!.sent[2]).toMatchObject({ task: 'add', input: [3, 4] });
  worker!.answer(7);
  expect(await second).toBe(7);
  expect(workers).toHaveLength(1);
});

test('aborting a waiting call leaves the running one alone', async () => {
  const bridge = bridgeOf();
  const stop = new AbortController();
  const first = bridge.ask('add', [1, 2]);
  const second = bridge.ask('add', [3, 4], { signal: stop.signal });
  stop.abort(new Error('not needed'));
  await expect(second).rejects.toThrow('not needed');
  expect(workers[0]!.ended).toBe(false);
  workers[0]!.answer(3);
  expect(await first).toBe(3);
});

test('every call settles: a worker that dies, makes no sense or answers something else fails its own call only', async () => {
  const bridge = bridgeOf();
  const calls = [1, 2, 3, 4].map((n) => bridge.ask('add', [n, n]));
  workers[0]!.die('out of memory');
  await expect(calls[0]).rejects.toThrow('out of memory');
  workers[1]!.say({ kind: 'shrug' });
  await expect(calls[1]).rejects.toThrow('could not be understood');
  workers[2]!.answer('three and three');
  await expect(calls[2]).rejects.toThrow('could not be understood');
  workers[3]!.answer(8);
  expect(await calls[3]).toBe(8);
  expect(workers.map(({ ended }) => ended)).toEqual([true, true, true, false]);
});

test('a worker that ends without a word is noticed by the lock it lets go', async () => {
  const bridge = bridgeOf();
  const lost = bridge.ask('add', [1, 2]);
  const next = bridge.ask('add', [3, 4]);
  workers[0]!.say({ kind: 'here', lock: 'first' });
  locks.get('first')!();
  await expect(lost).rejects.toThrow('ended without a word');
  workers[1]!.say({ kind: 'here', lock: 'second' });
  workers[1]!.answer(7);
  expect(await next).toBe(7);
});

test('a failure says whether it is about what was handed over', async () => {
  const bridge = bridgeOf();
  const wrong = bridge.ask('name', 'x');
  workers[0]!.say({ kind: 'failed', call: 1, message: '01.jpg is damaged.', expected: true });
  await expect(wrong).rejects.toThrow(new InputError('01.jpg is damaged.'));
  const broken = bridge.ask('name', 'x');
  workers[0]!.say({ kind: 'failed', call: 2, message: 'x is not defined', expected: false });
  await expect(broken).rejects.not.toBeInstanceOf(InputError);
});

test('a script that did not arrive says why', async () => {
  const result = bridgeOf().ask('name', 'x');
  workers[0]!.die('');
  await expect(result).rejects.toThrow(new InputError('The part was never fetched.'));
});

test('an idle worker is ended after a while, one at work is not', async () => {
  const bridge = bridgeOf(1000);
  const first = bridge.ask('add', [1, 2]);
  vi.advanceTimersByTime(5000);
  expect(workers[0]!.ended).toBe(false);
  workers[0]!.answer(3);
  await first;
  vi.advanceTimersByTime(999);
  expect(workers[0]!.ended).toBe(false);
  vi.advanceTimersByTime(1);
  expect(workers[0]!.ended).toBe(true);
});

test('what a bridge has in hand are its calls that are not settled', async () => {
  const bridge = bridgeOf();
  expect(bridge.inHand).toBe(0);
  const asked = [bridge.ask('name', 'a'), bridge.ask('name', 'b')];
  expect(bridge.inHand).toBe(2);
  for (const [left, name] of [
    [1, 'A'],
    [0, 'B'],
  ] as const) {
    workers.at(-1)!.answer(name);
    expect(bridge.inHand).toBe(left);
  }
  expect(await Promise.all(asked)).toEqual(['A', 'B']);
});
