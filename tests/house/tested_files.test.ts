import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';

const root = fileURLToPath(new URL('../../', import.meta.url));
const filesIn = (folder: string) =>
  readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts') && !name.endsWith('.d.ts'))
    .map((name) => join(folder, name));

/** Files that a test imports by name. */
const imported = new Set(
  filesIn('tests').flatMap((test) =>
    [...readFileSync(join(root, test), 'utf8').matchAll(/(?:from |import\()'(\.[^']+)'/g)].map(([, path]) =>
      normalize(join(dirname(test), path!)),
    ),
  ),
);

test('a test imports every file that reads pixels, adjusts or checks, but the one that bundlers alone take', () => {
  const files = ['src/vision', 'src/adjust', 'src/check'].flatMap(filesIn);
  expect(files.length).toBeGreaterThan(150);
  expect(files.filter((file) => !imported.has(file))).toEqual(['src/vision/opencv_module.ts']);
});
