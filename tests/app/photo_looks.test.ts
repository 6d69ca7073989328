import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { PhotoLooks } from '../../src/app/coverage/photo_looks.ts';
import { deviceHas } from '../../src/app/workers/device_room.ts';
import type { PhotoLook } from '../../src/app/workers/tag_tasks.ts';
import type { PhotoEntry } from '../../src/store/build.ts';

beforeEach(() => vi.stubGlobal('document', { baseURI: 'http://localhost/' }));
afterEach(() => vi.unstubAllGlobals());

/** A bridge that has its calls settled by the test. */
class HeldBridge {
  readonly held: { name: string; settle: (look: PhotoLook) => void; fail: (error: Error) => void }[] = [];
  get inHand(): number {
    return this.held.length;
  }
  ask = ((_: string, { name }: { name: string }) =>
    new Promise((settle, fail) => void this.held.push({ name, settle, fail }))) as never;
}
const photos = (...names: string[]) => names.map((name) => ({ id: name, name }) as PhotoEntry);
const fileOf = async () => new Blob(['x']);
const look = { width: 4, height: 3, tags: [], twice: [], fingerprint: '1-1' };
const turn = () => new Promise((resolve) => setTimeout(resolve));

test('photos are shared between those who look, the next going to who has fewest in hand', async () => {
  const [first, second] = [new HeldBridge(), new HeldBridge()];
  const looks = new PhotoLooks([first, second]);
  looks.want(photos('1', '2', '3'), fileOf);
  expect([...looks.snapshot().values()].map(({ kind }) => kind)).toEqual(['waiting', 'waiting', 'waiting']);
  await turn();
  expect([first, second].map(({ held }) => held.map(({ name }) => name))).toEqual([['1', '3'], ['2']]);
  second.held.splice(0)[0]!.settle(look);
  first.held.splice(0, 1)[0]!.fail(new Error('it ended without a word'));
  // looked at already, or being looked at: not again
  looks.want(photos('1', '2', '3', '4'), fileOf);
  await turn();
  expect([first, second].map(({ held }) => held.map(({ name }) => name))).toEqual([['3'], ['4']]);
  expect([...looks.snapshot()].map(([id, { kind }]) => [id, kind])).toEqual([
    ['1', 'failed'],
    ['2', 'seen'],
    ['3', 'looking'],
    ['4', 'looking'],
  ]);
});

test('one looks alone where there is no other', async () => {
  const alone = new HeldBridge();
  new PhotoLooks([alone]).want(photos('1', '2'), fileOf);
  await turn();
  expect(alone.held.map(({ name }) => name)).toEqual(['1', '2']);
});

test('a device has what it says it has; of memory it may say nothing', () => {
  const device = (says: { hardwareConcurrency: number; deviceMemory?: number } | undefined) =>
    vi.stubGlobal('navigator', says);
  device({ hardwareConcurrency: 4, deviceMemory: 4 });
  expect(deviceHas(4, 4)).toBe(true);
  device({ hardwareConcurrency: 8 });
  expect(deviceHas(4, 4)).toBe(true);
  device({ hardwareConcurrency: 8, deviceMemory: 2 });
  expect(deviceHas(2, 4)).toBe(false);
  device({ hardwareConcurrency: 2, deviceMemory: 8 });
  expect(deviceHas(4, 4)).toBe(false);
  device(undefined);
  expect(deviceHas(1, 1)).toBe(false);
});
