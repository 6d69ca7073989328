import { expect, test } from 'vitest';
import type { AskedCheck } from '../../src/app/session/asked_check.ts';
import { makeCheckUnderWay } from '../../src/app/session/check_under_way.ts';
import type { CheckAnswer, CheckProgress } from '../../src/app/workers/check_tasks.ts';
import { type AskOptions, Superseded } from '../../src/app/workers/worker_bridge.ts';

const answerOf = (name: string) => ({ report: { title: name } }) as unknown as CheckAnswer;
const asked = (name: string) => ({ name, request: { base: name } }) as unknown as AskedCheck;

/** The worker's bridge, whose calls settle when the test says so. */
function heldBridge() {
  const calls: { name: string; options: AskOptions<CheckProgress>; answer: () => void; fail: () => void }[] = [];
  const ask = (_: 'check', { base }: { base: string }, options: AskOptions<CheckProgress>) =>
    new Promise<CheckAnswer>((resolve, reject) => {
      options.signal!.addEventListener('abort', () => reject(options.signal!.reason));
      calls.push({
        name: base,
        options,
        answer: () => resolve(answerOf(base)),
        fail: () => reject(new Error('out of memory')),
      });
    });
  const underWay = makeCheckUnderWay({ ask } as unknown as Parameters<typeof makeCheckUnderWay>[0]);
  return { calls, underWay };
}

test('the same question shares the call under way, its progress, and its answer once that is there', async () => {
  const { calls, underWay } = heldBridge();
  const first = underWay.ask(asked('five photos'));
  calls[0]!.options.onProgress!({ stage: 'Finding the rings', done: 0.7 });
  const heard: number[] = [];
  const second = underWay.ask(asked('five photos'), { onProgress: ({ done }) => heard.push(done) });
  calls[0]!.options.onProgress!({ stage: 'Weighing the doubt', done: 0.9 });
  calls[0]!.answer();
  expect(await second).toBe(await first);
  expect(heard).toEqual([0.7, 0.9]);
  expect(await underWay.ask(asked('five photos'))).toBe(await first);
  expect(calls).toHaveLength(1);
});

test('another question takes its place, and the worker is asked to leave it, not ended', async () => {
  const { calls, underWay } = heldBridge();
  const four = underWay.ask(asked('four photos'));
  const five = underWay.ask(asked('five photos'));
  await expect(four).rejects.toBeInstanceOf(Superseded);
  calls[1]!.answer();
  expect(await five).toEqual(answerOf('five photos'));
});

test('who stops it ends it for good; asked again, and after a failure, it begins anew', async () => {
  const { calls, underWay } = heldBridge();
  const stop = new AbortController();
  const growing = underWay.ask(asked('five photos'));
  const check = underWay.ask(asked('five photos'), { stop: stop.signal });
  stop.abort(new Error('stopped by hand'));
  await expect(check).rejects.toThrow('stopped by hand');
  await expect(growing).rejects.toThrow('stopped by hand');
  const again = underWay.ask(asked('five photos'));
  calls[1]!.fail();
  await expect(again).rejects.toThrow('out of memory');
  const third = underWay.ask(asked('five photos'));
  calls[2]!.answer();
  expect(await third).toEqual(answerOf('five photos'));
});

test('left, it is nobody’s', async () => {
  const { calls, underWay } = heldBridge();
  const four = underWay.ask(asked('four photos'));
  underWay.leave();
  await expect(four).rejects.toBeInstanceOf(Superseded);
  void underWay.ask(asked('four photos'));
  expect(calls).toHaveLength(2);
});
