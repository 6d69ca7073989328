import { spawnSync } from 'node:child_process';
import { mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { TemporaryFile } from '../../src/cli/temporary_file.ts';
import type { Photo } from '../../src/photo/photo.ts';
import { holdingMeanwhile, photosAside } from '../../src/photo/photos_aside.ts';
import { seededUniform } from '../world/seeded_random.ts';

const size = { width: 40, height: 30 };
const bytes = 40 * 30 * 1.5;

/** A photo of noise; the same each time it is made. */
function noisy(seed: number): Photo {
  const random = seededUniform(seed);
  const plane = (length: number) => Uint8Array.from({ length }, () => 256 * random());
  return {
    file: `${seed}.jpg`,
    ...size,
    luma: plane(1200),
    blueDifference: plane(300),
    redDifference: plane(300),
    held: { left: 2, top: 4, ...size },
    focalPrior: 3000,
  };
}

const besideOthers = async () => (await readdir(tmpdir())).filter((name) => name.startsWith('prewrap-photos-')).length;

/** What a photo is now: its getters read. */
const read = (photo: Photo): Photo => ({ ...photo });

/** Planes byte by byte: comparing them number by number takes most of a test's time. */
function expectSame(photo: Photo, expected: Photo): void {
  for (const plane of ['luma', 'blueDifference', 'redDifference'] as const)
    expect(Buffer.compare(photo[plane], expected[plane]), plane).toBe(0);
  const none = new Uint8Array();
  const without = { luma: none, blueDifference: none, redDifference: none };
  expect({ ...read(photo), ...without }).toEqual({ ...expected, ...without });
}

test('a photo is what it was, however often others took its room', async () => {
  const before = await besideOthers();
  const aside = new TemporaryFile();
  const { keep } = photosAside(aside, 3 * bytes);
  const kept = Array.from({ length: 12 }, (_, i) => keep(noisy(i)));
  // the system lets an open file go on without a name, so a command that is killed leaves none
  if (process.platform !== 'win32') expect(await besideOthers()).toBe(before);
  const random = seededUniform(5);
  for (let i = 0; i < 300; i++) {
    const which = Math.floor(12 * random());
    expectSame(kept[which]!, noisy(which));
  }
  aside.close();
  expect(await besideOthers()).toBe(before);
});

test('those in memory are no more than may be', () => {
  const aside = new TemporaryFile();
  const { keep } = photosAside(aside, 3 * bytes);
  const kept = Array.from({ length: 12 }, (_, i) => keep(noisy(i)));
  // planes that are in memory are handed out as they are, others are fetched anew
  const inMemory = () => {
    const first = kept.map(({ luma }) => luma);
    return kept.filter(({ luma }, i) => luma === first[i]).length;
  };
  expect(inMemory()).toBeLessThanOrEqual(3);
  expect(kept[11]!.luma).toBe(kept[11]!.luma);
  aside.close();
});

test('what is handed out stays as it is while nearly as much as memory holds is looked at besides', () => {
  const aside = new TemporaryFile();
  const { keep } = photosAside(aside, 5 * bytes);
  const kept = Array.from({ length: 12 }, (_, i) => keep(noisy(i)));
  const random = seededUniform(3);
  const others = () => Math.floor(12 * random());
  for (let i = 0; i < 100; i++) {
    const which = others();
    const { luma, redDifference } = kept[which]!;
    for (let k = 0; k < 3; k++) read(kept[others()]!);
    expect([luma, redDifference]).toEqual([noisy(which).luma, noisy(which).redDifference]);
  }
  aside.close();
});

test('what is fetched again and again lies in the same memory', () => {
  const aside = new TemporaryFile();
  const { keep } = photosAside(aside, 5 * bytes);
  const kept = Array.from({ length: 12 }, (_, i) => keep(noisy(i)));
  const memory = new Set<ArrayBufferLike>();
  for (let i = 0; i < 100; i++) memory.add(kept[(5 * i) % 12]!.luma.buffer);
  expect([...memory].map(({ byteLength }) => byteLength)).toEqual([5 * bytes]);
  aside.close();
});

test('what is let go at the end of some work takes no room from the others, also where the work fails', async () => {
  const aside = new TemporaryFile();
  const before = await besideOthers();
  const { keep, hold } = photosAside(aside, 3 * bytes);
  const first = keep(noisy(0));
  for (let i = 0; i < 20; i++)
    expect(() =>
      holdingMeanwhile(hold, (meanwhile) => {
        const held = meanwhile!([new Uint8Array(bytes).fill(i)]);
        expect(held.look()[0]![5]).toBe(i);
        throw new Error('stopped');
      }),
    ).toThrow('stopped');
  const kept = [first, keep(noisy(1))];
  expect(kept.map(read)).toEqual([noisy(0), noisy(1)]);
  // never more than two at a time: nothing had to be written
  expect(await besideOthers()).toBe(before);
  aside.close();
});

test('where there is room for all of them nothing is written', async () => {
  const before = await besideOthers();
  const aside = new TemporaryFile();
  const { keep } = photosAside(aside, 20 * bytes);
  const kept = Array.from({ length: 12 }, (_, i) => keep(noisy(i)));
  expect(await besideOthers()).toBe(before);
  expect(kept.map(read)).toEqual(kept.map((_, i) => noisy(i)));
  aside.close();
});

test('where the folder for such files can’t be written, memory holds them all', () => {
  const folder = process.env['TMPDIR'];
  process.env['TMPDIR'] = '/proc/none';
  const aside = new TemporaryFile();
  const { keep } = photosAside(aside, 2 * bytes);
  const kept = Array.from({ length: 6 }, (_, i) => keep(noisy(i)));
  if (folder === undefined) delete process.env['TMPDIR'];
  else process.env['TMPDIR'] = folder;
  expect(kept.map(read)).toEqual(kept.map((_, i) => noisy(i)));
  aside.close();
});

test('a disk that fills up in the middle loses none that lie there already', async () => {
  const script = join(await mkdtemp(join(tmpdir(), 'prewrap-full-')), 'full.mts');
  const root = fileURLToPath(new URL('../../', import.meta.url));
  await writeFile(
    script,
    `import { TemporaryFile } from '${join(root, 'src/cli/temporary_file.ts')}';
import { photosAside } from '${join(root, 'src/photo/photos_aside.ts')}';
const plane = (value, length) => new Uint8Array(length).fill(value);
const aside = new TemporaryFile();
const { keep } = photosAside(aside, 1e6);
const photos = Array.from({ length: 12 }, (_, i) => keep({ file: '', width: 1000, height: 400,
  luma: plane(i, 400_000), blueDifference: plane(i, 100_000), redDifference: plane(i, 100_000) }));
console.log(photos.map(({ luma, redDifference }) => luma.every((v) => v === luma[0]) && luma[0] === redDifference[9] && luma[0]).join(' '));
aside.close();`,
  );
  // a limit on the size of files ends a write as a full disk does
  const limited = `trap '' XFSZ; ulimit -f 2500; ${join(root, 'node_modules/.bin/tsx')} ${script}`;
  const { stdout } = spawnSync('bash', ['-c', limited], { encoding: 'utf8' });
  await rm(dirname(script), { recursive: true });
  expect(stdout).toBe('0 1 2 3 4 5 6 7 8 9 10 11\n');
});
