import { expect, test } from 'vitest';
import type { WorkerLike } from '../../src/app/workers/check_bridge.ts';
import { DeskBridge } from '../../src/app/workers/desk_bridge.ts';
import { InputError } from '../../src/plan/input_error.ts';

/** A worker whose answers the test gives. */
function fakeWorkers() {
  const made: { worker: WorkerLike; asked: { call: number; request: { task: string } }[]; ended: boolean }[] = [];
  const make = (): WorkerLike => {
    const one = { asked: [] as { call: number; request: { task: string } }[], ended: false } as (typeof made)[number];
    one.worker = {
      postMessage: (message: unknown) => one.asked.push(message as (typeof one.asked)[number]),
      terminate: () => {
        one.ended = true;
      },
      onmessage: null,
      onmessageerror: null,
      onerror: null,
    };
    made.push(one);
    return one.worker;
  };
  const tell = (i: number, data: unknown) => made[i]!.worker.onmessage!.call({} as Worker, { data } as MessageEvent);
  return { made, make, tell };
}
const file = { file: new Blob(), name: 'rod.zip' };

test('each call gets its own answer, in whatever order they come', async () => {
  const { made, make, tell } = fakeWorkers();
  const desk = new DeskBridge(make);
  const [one, two] = [desk.ask('import', file), desk.ask('import', file)];
  expect(made).toHaveLength(1);
  tell(0, { call: 2, answer: 'second' });
  tell(0, { call: 1, answer: 'first' });
  expect(await Promise.all([one, two])).toEqual(['first', 'second']);
});

test('a sentence about what was handed over comes as InputError, a fault of the app as Error', async () => {
  const { make, tell } = fakeWorkers();
  const desk = new DeskBridge(make);
  const [wrong, broken] = [desk.ask('import', file), desk.ask('import', file)];
  tell(0, { call: 1, fault: 'rod.zip is damaged.', expected: true });
  tell(0, { call: 2, fault: 'x is not defined', expected: false });
  await expect(wrong).rejects.toBeInstanceOf(InputError);
  await expect(broken).rejects.not.toBeInstanceOf(InputError);
});

test('a worker that dies fails what it was asked, and the next call has a new one', async () => {
  const { made, make, tell } = fakeWorkers();
  const desk = new DeskBridge(make);
  const lost = desk.ask('import', file);
  made[0]!.worker.onerror!.call({} as Worker, { message: 'out of memory' } as ErrorEvent);
  await expect(lost).rejects.toThrow('out of memory');
  expect(made[0]!.ended).toBe(true);
  const next = desk.ask('import', file);
  tell(1, { call: made[1]!.asked[0]!.call, answer: 'here' });
  expect(await next).toBe('here');
});
