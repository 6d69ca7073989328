import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';

const root = fileURLToPath(new URL('../../', import.meta.url));
/** Columns, as the formatter has it for code: it leaves comments as they are. */
const widest = 120;

/** Places (file:line) of comments that run past the last column. */
function wideComments(file: string, text: string): string[] {
  const lines = text.split('\n');
  return lines.flatMap((line, i) =>
    line.length > widest && /^\s*(\/\/|\/?\*)|\s\/\/ /.test(line) ? [`${file}:${i + 1}`] : [],
  );
}

test('a comment that runs past the last column is noticed, wherever it stands', () => {
  const long = 'x '.repeat(60).trim();
  const text = [`/** ${long} */`, ` * ${long}`, `// ${long}`, `const a = 1; // ${long}`, '// short'].join('\n');
  expect(wideComments('a.ts', text)).toEqual(['a.ts:1', 'a.ts:2', 'a.ts:3', 'a.ts:4']);
});

test('no comment runs past the last column', () => {
  const files = ['src', 'tests'].flatMap((folder) =>
    readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' }).map((name) => join(folder, name)),
  );
  const sources = files.filter((name) => /\.tsx?$/.test(name));
  expect(sources.length).toBeGreaterThan(400);
  expect(sources.flatMap((name) => wideComments(name, readFileSync(join(root, name), 'utf8')))).toEqual([]);
});
