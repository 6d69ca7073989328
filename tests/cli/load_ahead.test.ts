import { readFile } from 'node:fs/promises';
import { setImmediate } from 'node:timers/promises';
import { expect, test } from 'vitest';
import { loadAhead } from '../../src/cli/load_ahead.ts';
import { InputError } from '../../src/plan/input_error.ts';

const folder = new URL('../../fixtures/sample/photos/', import.meta.url);

test('the next photo’s file is read before it is asked for; one that is lost is told when it is, and all others come', async () => {
  const read: string[] = [];
  const bytesOf = async (name: string) => {
    read.push(name);
    if (name === 'lost.jpg') throw new InputError('lost.jpg is gone.');
    return readFile(new URL(name, folder));
  };
  const load = loadAhead(['01.jpg', 'lost.jpg', '02.jpg'], bytesOf);
  expect(read).toEqual(['01.jpg', 'lost.jpg']);
  await setImmediate();
  const first = await load(0);
  expect(first.file).toBe('01.jpg');
  await expect(load(1)).rejects.toThrow('lost.jpg is gone.');
  expect((await load(2)).file).toBe('02.jpg');
  expect(read).toEqual(['01.jpg', 'lost.jpg', '02.jpg']);
  const again = await load(0);
  expect(again === first).toBe(false);
  expect(Buffer.compare(again.luma, first.luma)).toBe(0);
});
