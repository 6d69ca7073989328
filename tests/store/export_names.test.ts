import { readFile } from 'node:fs/promises';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { newBuild } from '../../src/app/files/new_build.ts';
import { photoEntries } from '../../src/app/files/added_photos.ts';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { mostPhotos } from '../../src/plan/shoot.ts';
import { exportBuild } from '../../src/store/export_build.ts';
import { importBuild } from '../../src/store/import_build.ts';

const plan = parsePlan(await readFile(new URL('../../fixtures/sample/plan.json', import.meta.url), 'utf8'));
/** A JPEG of one picture element, told apart by a number in its tables. */
const photo = (number: number): Uint8Array<ArrayBuffer> =>
  Uint8Array.from([0xff, 0xd8, 0xff, 0xdb, 0, 4, number >> 8, number & 255, 0xff, 0xda, 0, 2, 1, 2, 3, 0xff, 0xd9]);

/** Exports a build with photos of these names, opens it again, and gives what came back. */
async function thereAndBack(names: readonly string[]) {
  const files = names.map((name, k) => new File([photo(k)], name));
  const { kept, entries } = photoEntries('b', files, []);
  const build = newBuild({ id: 'b', plan, photos: entries });
  const photos = new Map(kept.map(({ id, file }) => [id, file as Blob]));
  const { zip, leftOut } = await exportBuild({ build, checks: [], photos });
  expect(leftOut).toEqual([]);
  const back = await importBuild(zip, 'rod.zip');
  const contents = await Promise.all(
    back.build.document.shoot.photos.map(async ({ id }) => {
      const file = back.photos.find((one) => one.id === id)!.file;
      return [...new Uint8Array(await file.arrayBuffer())];
    }),
  );
  return { entries, back: back.build.document.shoot.photos, contents };
}

const awkward = fc.oneof(
  fc.constantFrom(
    '__proto__',
    'constructor',
    'plan.json',
    'shoot.json',
    'build.json',
    'pictures/ribbon.jpg',
    '..',
    ' ',
    '',
  ),
  fc.constantFrom(
    '__MACOSX/a.jpg',
    '.DS_Store',
    '/etc/passwd',
    '../../up.jpg',
    'a\\b.jpg',
    'a//b.jpg',
    './a/b.jpg',
    'A.JPG',
  ),
  fc.string({ unit: 'binary', maxLength: 300 }),
  fc.string({ unit: 'grapheme', maxLength: 300 }).map((name) => `  ${name}.jpeg  `),
  fc.string({ minLength: 190, maxLength: 260 }).map((name) => `${name}.heic`),
);

test('whatever photos are called, the export opens again with each of them', async () => {
  await fc.assert(
    fc.asyncProperty(fc.array(awkward, { minLength: 1, maxLength: 12 }), async (names) => {
      const { entries, back, contents } = await thereAndBack(names);
      expect(back.map(({ name }) => name)).toEqual(entries.map(({ name }) => name));
      expect(contents).toEqual(names.map((_, k) => [...photo(k)]));
    }),
    { numRuns: 150 },
  );
});

test('a build of as many photos as a shoot may have opens again', async () => {
  const names = Array.from({ length: mostPhotos }, () => 'IMG.jpg');
  const { back } = await thereAndBack(names);
  expect(back).toHaveLength(mostPhotos);
  expect(new Set(back.map(({ name }) => name)).size).toBe(mostPhotos);
});
