import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { CheckBridge, CheckFailed, type WorkerLike } from '../../src/app/workers/check_bridge.ts';
import type { CheckRequest } from '../../src/app/workers/check_messages.ts';

/** A worker that answers only when the test says so. */
class HeldWorker implements WorkerLike {
  sent: { kind: string; call: number; request: CheckRequest }[] = [];
  ended = false;
  onmessage: WorkerLike['onmessage'] = null;
  onmessageerror: WorkerLike['onmessageerror'] = null;
  onerror: WorkerLike['onerror'] = null;
  postMessage(message: (typeof this.sent)[number]): void {
    this.sent.push(message);
  }
  terminate(): void {
    this.ended = true;
  }
  say(data: unknown): void {
    this.onmessage?.call(this as unknown as Worker, { data } as MessageEvent);
  }
  die(message: string): void {
    this.onerror?.call(this as unknown as Worker, { message } as ErrorEvent);
  }
}

const workers: HeldWorker[] = [];
const bridgeOf = (idleMs = 1000) =>
  new CheckBridge(() => {
    const worker = new HeldWorker();
    workers.push(worker);
    return worker;
  }, idleMs);
const request = { plan: {}, shoot: {}, photos: [], base: '' } as unknown as CheckRequest;
const never = () => new AbortController().signal;
const answer = { report: { verdict: 'ready' }, evidence: {} };

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
  workers.length = 0;
});

test('progress and answer reach the call they belong to', async () => {
  const seen: unknown[] = [];
  const result = bridgeOf().check(request, never(), (progress) => seen.push(progress));
  const { call } = workers[0]!.sent[0]!;
  workers[0]!.say({ kind: 'progress', call: call + 1, stage: 'not mine', done: 0.9 });
  workers[0]!.say({ kind: 'progress', call, stage: 'Reading', done: 0.5 });
  workers[0]!.say({ kind: 'answer', call, answer });
  expect(await result).toEqual(answer);
  expect(seen).toEqual([{ stage: 'Reading', done: 0.5 }]);
});

test('a second check waits for the first and uses the same worker', async () => {
  const bridge = bridgeOf();
  const first = bridge.check(request, never(), () => {});
  const second = bridge.check(request, never(), () => {});
  expect(workers[0]!.sent.length).toBe(1);
  workers[0]!.say({ kind: 'answer', call: workers[0]!.sent[0]!.call, answer });
  await first;
  expect(workers[0]!.sent.length).toBe(2);
  workers[0]!.say({ kind: 'answer', call: workers[0]!.sent[1]!.call, answer });
  await second;
  expect(workers.length).toBe(1);
});

test('aborting ends the worker, rejects with the reason, and the next check gets a new worker', async () => {
  const bridge = bridgeOf();
  const stop = new AbortController();
  const first = bridge.check(request, stop.signal, () => {});
  const second = bridge.check(request, never(), () => {});
  stop.abort(new Error('stopped by hand'));
  await expect(first).rejects.toThrow('stopped by hand');
  expect(workers[0]!.ended).toBe(true);
  workers[1]!.say({ kind: 'answer', call: workers[1]!.sent[0]!.call, answer });
  expect(await second).toEqual(answer);
});

test('aborting a waiting check leaves the running one alone', async () => {
  const bridge = bridgeOf();
  const stop = new AbortController();
  const first = bridge.check(request, never(), () => {});
  const second = bridge.check(request, stop.signal, () => {});
  stop.abort(new Error('not needed'));
  await expect(second).rejects.toThrow('not needed');
  expect(workers[0]!.ended).toBe(false);
  workers[0]!.say({ kind: 'answer', call: workers[0]!.sent[0]!.call, answer });
  expect(await first).toEqual(answer);
});

test('a worker that dies, or says what makes no sense, rejects its check and not the next', async () => {
  const bridge = bridgeOf();
  const first = bridge.check(request, never(), () => {});
  const second = bridge.check(request, never(), () => {});
  workers[0]!.die('out of memory');
  await expect(first).rejects.toMatchObject({ message: 'out of memory', expected: false });
  workers[1]!.say({ kind: 'shrug' });
  await expect(second).rejects.toBeInstanceOf(CheckFailed);
});

test('a failure says whether it is about what was handed over', async () => {
  const result = bridgeOf().check(request, never(), () => {});
  workers[0]!.say({ kind: 'failed', call: workers[0]!.sent[0]!.call, message: '01.jpg is damaged.', expected: true });
  await expect(result).rejects.toMatchObject({ message: '01.jpg is damaged.', expected: true });
});

test('an idle worker is ended after a while, one at work is not', async () => {
  const bridge = bridgeOf(1000);
  const first = bridge.check(request, never(), () => {});
  vi.advanceTimersByTime(5000);
  expect(workers[0]!.ended).toBe(false);
  workers[0]!.say({ kind: 'answer', call: workers[0]!.sent[0]!.call, answer });
  await first;
  vi.advanceTimersByTime(999);
  expect(workers[0]!.ended).toBe(false);
  vi.advanceTimersByTime(1);
  expect(workers[0]!.ended).toBe(true);
});

test('closing rejects what runs and what waits', async () => {
  const bridge = bridgeOf();
  const both = [bridge.check(request, never(), () => {}), bridge.check(request, never(), () => {})];
  bridge.close();
  for (const result of both) await expect(result).rejects.toBeInstanceOf(CheckFailed);
  expect(workers[0]!.ended).toBe(true);
});
