import { expect, test } from 'vitest';
import type { WorkerLike } from '../../src/app/workers/check_bridge.ts';
import { TagBridge } from '../../src/app/workers/tag_bridge.ts';
import type { FrameLook, PhotoLook, TagReply, TagRequest } from '../../src/app/workers/tag_messages.ts';

/** A worker that answers when the test says so. */
class FakeWorker implements WorkerLike {
  onmessage: WorkerLike['onmessage'] = null;
  onmessageerror: WorkerLike['onmessageerror'] = null;
  onerror: WorkerLike['onerror'] = null;
  asked: { call: number; request: TagRequest }[] = [];
  ended = false;
  postMessage(message: unknown): void {
    this.asked.push(message as { call: number; request: TagRequest });
  }
  terminate(): void {
    this.ended = true;
  }
  reply(message: TagReply): void {
    this.onmessage?.call(this as unknown as Worker, { data: message } as MessageEvent);
  }
  die(message: string): void {
    this.onerror?.call(this as unknown as Worker, { message } as ErrorEvent);
  }
}

function bridged(idleMs?: number) {
  const workers: FakeWorker[] = [];
  const bridge = new TagBridge(() => {
    workers.push(new FakeWorker());
    return workers.at(-1)!;
  }, idleMs);
  return { bridge, workers };
}
const photo = (name: string): Extract<TagRequest, { kind: 'photo' }> => ({
  kind: 'photo',
  name,
  file: new Blob(),
  base: '',
});
const frame = { kind: 'frame', frame: {} as ImageBitmap, base: '' } as const;
const look: PhotoLook = { width: 1, height: 1, tags: [], twice: [], fingerprint: 'x' };
const seen: FrameLook = { width: 1, height: 1, tags: [], quality: { paper: 200, blownOut: 0, problems: [] } };

test('one request at a time, and a frame of the camera goes before photos that wait', async () => {
  const { bridge, workers } = bridged();
  const answers = [bridge.ask(photo('a')), bridge.ask(photo('b')), bridge.ask(frame)];
  const worker = workers[0]!;
  const names = () => worker.asked.map(({ request }) => (request.kind === 'photo' ? request.name : 'frame'));
  expect(names()).toEqual(['a']);
  worker.reply({ kind: 'answer', call: worker.asked[0]!.call, answer: look });
  expect(names()).toEqual(['a', 'frame']);
  worker.reply({ kind: 'answer', call: worker.asked[1]!.call, answer: seen });
  worker.reply({ kind: 'answer', call: worker.asked[2]!.call, answer: look });
  expect(await Promise.all(answers)).toEqual([look, look, seen]);
  expect(workers).toHaveLength(1);
});

test('a worker that dies fails its request only; the next one gets a new worker', async () => {
  const { bridge, workers } = bridged();
  const first = bridge.ask(photo('a'));
  const second = bridge.ask(photo('b'));
  workers[0]!.die('out of memory');
  await expect(first).rejects.toThrow('out of memory');
  expect(workers[0]!.ended).toBe(true);
  workers[1]!.reply({ kind: 'answer', call: workers[1]!.asked[0]!.call, answer: look });
  expect(await second).toEqual(look);
});

test('what the worker could not do is said with its reason', async () => {
  const { bridge, workers } = bridged();
  const asked = bridge.ask(photo('a'));
  workers[0]!.reply({ kind: 'failed', call: workers[0]!.asked[0]!.call, message: 'no canvas' });
  await expect(asked).rejects.toThrow('no canvas');
});

test('the fetching of the tag reader is passed on', async () => {
  const { bridge, workers } = bridged();
  const shares: number[] = [];
  void bridge.ask(photo('a'), (done) => shares.push(done));
  workers[0]!.reply({ kind: 'fetching', call: workers[0]!.asked[0]!.call, done: 0.5 });
  expect(shares).toEqual([0.5]);
});

test('a worker without work is ended', async () => {
  const { bridge, workers } = bridged(0);
  const asked = bridge.ask(photo('a'));
  workers[0]!.reply({ kind: 'answer', call: workers[0]!.asked[0]!.call, answer: look });
  await asked;
  await expect.poll(() => workers[0]!.ended).toBe(true);
});
