import { readFile } from 'node:fs/promises';
import fc from 'fast-check';
import { inflateSync } from 'fflate';
import { describe, expect, test, vi } from 'vitest';
import { encodeText, packBuild, roundIn, unpackBuild } from '../../src/store/archive.ts';
import { crc32 } from '../../src/photo/crc32.ts';
import { InputError } from '../../src/plan/input_error.ts';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { packZip, unpackZip } from '../../src/store/zip.ts';

vi.mock('fflate', async (original) => {
  const whole = await original<typeof import('fflate')>();
  return { ...whole, inflateSync: vi.fn(whole.inflateSync) };
});

const at = new Date(2026, 10, 20, 12);
const sample = (name: string) => readFile(new URL(`../../fixtures/sample/${name}`, import.meta.url));
const shoot = (photos: string[]) =>
  JSON.stringify({
    schema: 'prewrap.shoot/1',
    stage: 'rings',
    photos,
    mat: {},
    rest: { kind: 'flat' },
    rollReference: 'seat-card',
  });

async function files(): Promise<Map<string, Uint8Array>> {
  return new Map<string, Uint8Array>([
    ['plan.json', await sample('plan.json')],
    ['shoot.json', encodeText(shoot(['photos/a.jpg', 'b.jpg']))],
    ['photos/a.jpg', Uint8Array.from({ length: 3000 }, (_, i) => (i * i) % 251)],
    ['b.jpg', new Uint8Array(100).fill(7)],
    ['earlier/1/plan.json', await sample('plan.json')],
    ['earlier/1/shoot.json', encodeText(shoot(['../../b.jpg', 'c.jpg']))],
    ['earlier/1/c.jpg', new Uint8Array(50).fill(9)],
  ]);
}

/** Where each entry of a zip's directory begins. */
function directoryEntries(zip: Uint8Array): number[] {
  const [bytes, signature] = [Buffer.from(zip), Buffer.from([0x50, 0x4b, 1, 2])];
  const found: number[] = [];
  for (let entry = bytes.indexOf(signature); entry >= 0; entry = bytes.indexOf(signature, entry + 4)) found.push(entry);
  return found;
}

const sentence = (work: () => unknown): string => {
  try {
    work();
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
  return '';
};

test('the CRC agrees with its published check value', () => {
  // CRC-32/ISO-HDLC of "123456789" is cbf43926 (Williams, A painless guide to CRC error detection algorithms, 1993)
  expect(crc32(encodeText('1234'), encodeText('56789'))).toBe(0xcbf43926);
});

test('a build comes out of its zip as it went in, earlier rounds with photos of either folder', async () => {
  const packed = await files();
  const build = unpackBuild(packBuild(packed, at), 'rod.zip');
  expect([...build.files.keys()].toSorted()).toEqual([...packed.keys()].toSorted());
  for (const [name, content] of packed) expect(Buffer.from(build.files.get(name)!)).toEqual(Buffer.from(content));
  expect(parsePlan(build.plan).positions).toHaveLength(9);
  expect([...build.photos.keys()]).toEqual(['photos/a.jpg', 'b.jpg']);
  const earlier = roundIn(build.files, 'earlier/1/', 'rod.zip');
  expect([...earlier.photos].map(([name, content]) => [name, content[0]])).toEqual([
    ['../../b.jpg', 7],
    ['c.jpg', 9],
  ]);
});

test('a folder zipped by hand, with what a Mac adds, is a build as well', async () => {
  const inFolder = new Map<string, Uint8Array>([['__MACOSX/my rod/._plan.json', new Uint8Array(4)]]);
  for (const [name, content] of await files()) inFolder.set(`my rod/${name}`, content);
  expect([...unpackBuild(packBuild(inFolder, at)).photos.keys()]).toEqual(['photos/a.jpg', 'b.jpg']);
});

describe('one sentence', () => {
  test('for a zip without a plan', () => {
    const packed = packBuild(new Map([['note.txt', encodeText('x')]]), at);
    expect(sentence(() => unpackBuild(packed, 'rod.zip'))).toMatch(/^rod\.zip holds no plan\.json/);
  });

  test('for a photo that is named and not there', async () => {
    const packed = await files();
    packed.delete('b.jpg');
    expect(sentence(() => unpackBuild(packBuild(packed, at), 'rod.zip'))).toBe(
      'shoot.json names the photo b.jpg, but rod.zip does not hold it: add it to the zip, or take its name out.',
    );
  });

  test('for a locked zip', async () => {
    const packed = packBuild(await files(), at);
    const directory = Buffer.from(packed).indexOf(Buffer.from([0x50, 0x4b, 1, 2]));
    packed[directory + 8]! |= 1;
    expect(sentence(() => unpackBuild(packed, 'rod.zip'))).toMatch(/locked with a password/);
  });

  test('for a zip whose directory promises too much in all, before anything of it is unpacked', () => {
    // three files of half a gigabyte and more, each possible by itself; none holds what it should, so that
    // unpacking even the first would say that the zip is damaged
    const zip = packZip(new Map(['a', 'b', 'c'].map((name) => [`${name}.txt`, new Uint8Array(600_000)])), at);
    expect(unpackZip(zip, 'rod.zip').size).toBe(3);
    const view = new DataView(zip.buffer);
    const entries = directoryEntries(zip);
    for (const entry of entries) view.setUint32(entry + 16, 0, true);
    expect(sentence(() => unpackZip(zip, 'rod.zip'))).toMatch(/^rod\.zip is damaged/);
    for (const entry of entries) view.setUint32(entry + 24, 510_000_000, true);
    const inflated = vi.mocked(inflateSync).mock.calls.length;
    expect(inflated).toBeGreaterThan(0);
    expect(sentence(() => unpackZip(zip, 'rod.zip'))).toBe(
      'rod.zip unpacks to more than 1.5 GB, which no build needs: choose another file.',
    );
    expect(vi.mocked(inflateSync).mock.calls.length).toBe(inflated);
  });

  test('for a zip cut off anywhere', async () => {
    const packed = packBuild(await files(), at);
    fc.assert(
      fc.property(fc.nat(packed.length - 1), (end) => {
        expect(sentence(() => unpackBuild(packed.subarray(0, end), 'rod.zip'))).toMatch(
          /^rod\.zip is damaged or cut off/,
        );
      }),
    );
  });

  test('for a photo with one wrong bit, anywhere in it', async () => {
    const original = packBuild(await files(), at);
    const start = Buffer.from(original).indexOf(Buffer.from((await files()).get('photos/a.jpg')!.subarray(0, 40)));
    fc.assert(
      fc.property(fc.nat(2999), fc.nat(7), (byte, bit) => {
        const packed = original.slice();
        packed[start + byte]! ^= 1 << bit;
        expect(sentence(() => unpackBuild(packed, 'rod.zip'))).toMatch(/damaged/);
      }),
    );
  });

  test('and nothing else for any spoilt byte', async () => {
    const original = packBuild(await files(), at);
    fc.assert(
      fc.property(fc.nat(original.length - 1), fc.nat(255), (byte, value) => {
        const packed = original.slice();
        packed[byte] = value;
        expect(sentence(() => unpackBuild(packed, 'rod.zip'))).not.toMatch(/undefined|NaN|\n/);
      }),
      { numRuns: 500 },
    );
  });
});
