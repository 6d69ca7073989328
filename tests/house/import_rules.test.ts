import { spawnSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';

const root = fileURLToPath(new URL('../../', import.meta.url));

const rooms =
  'route words workers files edits session kit fields builds plan mat ribbon coverage camera photos by_hand check record'.split(
    ' ',
  );
const stages = ['app', 'store', 'check', 'verdict', 'adjust', 'vision', 'photo', 'plan', 'numerics'];

/** Files that break a rule among these, as the project's own rules see them. */
function refused(files: Record<string, string>, rules = /no-restricted-imports|no-cycle/): string[] {
  const folder = mkdtempSync(join(tmpdir(), 'prewrap-rules-'));
  try {
    copyFileSync(join(root, '.oxlintrc.json'), join(folder, '.oxlintrc.json'));
    for (const [name, text] of Object.entries(files)) {
      mkdirSync(dirname(join(folder, name)), { recursive: true });
      writeFileSync(join(folder, name), text);
    }
    const run = spawnSync(join(root, 'node_modules/.bin/oxlint'), ['--format', 'json', 'src'], {
      cwd: folder,
      encoding: 'utf8',
    });
    const { diagnostics } = JSON.parse(run.stdout) as { diagnostics: { code: string; filename: string }[] };
    return [...new Set(diagnostics.filter(({ code }) => rules.test(code)).map(({ filename }) => filename))].toSorted();
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const taking = (path: string) => `import { thing } from '${path}';\nexport const taken = thing;\n`;
const giving = 'export const thing = 1;\n';

test('a room of the app may take from rooms above it, never from one below or from what frames every screen', () => {
  const files: Record<string, string> = { 'src/app/frame.ts': giving };
  const wrong: string[] = [];
  for (const [i, room] of rooms.entries()) {
    files[`src/app/${room}/given.ts`] = giving;
    files[`src/app/${room}/frame_taken.ts`] = taking('../frame.ts');
    wrong.push(`src/app/${room}/frame_taken.ts`);
    for (const other of rooms.slice(0, i)) files[`src/app/${room}/takes_${other}.ts`] = taking(`../${other}/given.ts`);
    for (const other of rooms.slice(i + 1)) {
      files[`src/app/${room}/takes_${other}.ts`] = taking(`../${other}/given.ts`);
      wrong.push(`src/app/${room}/takes_${other}.ts`);
    }
  }
  expect(refused(files)).toEqual(wrong.toSorted());
});

test('a stage may take from stages to its right, never from one to its left', () => {
  const files: Record<string, string> = {};
  const wrong: string[] = [];
  for (const [i, stage] of stages.entries()) {
    files[`src/${stage}/given.ts`] = giving;
    for (const [k, other] of stages.entries()) {
      if (k === i) continue;
      files[`src/${stage}/inner/takes_${other}.ts`] = taking(`../../${other}/given.ts`);
      if (k < i) wrong.push(`src/${stage}/inner/takes_${other}.ts`);
    }
  }
  expect(refused(files)).toEqual(wrong.toSorted());
});

test('files that take from each other in a circle are refused, types included', () => {
  const files = {
    'src/plan/one.ts': "import type { Two } from './two.ts';\nexport interface One { two: Two }\n",
    'src/plan/two.ts': "import type { One } from './one.ts';\nexport interface Two { one?: One }\n",
  };
  expect(refused(files)).toEqual(['src/plan/one.ts', 'src/plan/two.ts']);
});

test('long files, long functions and many parameters are refused', () => {
  const lines = (count: number) => '  sum += 1;\n'.repeat(count);
  const body = (name: string, count: number) =>
    `export function ${name}(): number {\n  let sum = 0;\n${lines(count)}  return sum;\n}\n`;
  const named = (count: number) => Array.from({ length: count }, (_, i) => `p${i}: number`).join(', ');
  const files = {
    'src/plan/short.ts': body('short', 56),
    'src/plan/long.ts': body('long', 57),
    'src/plan/few.ts': `export const few = (${named(5)}): number => p0 + p1 + p2 + p3 + p4;\n`,
    'src/plan/many.ts': `export const many = (${named(6)}): number => p0 + p1 + p2 + p3 + p4 + p5;\n`,
    'src/plan/filled.ts': Array.from({ length: 5 }, (_, i) => body(`part${i}`, 56)).join(''),
    'src/plan/crowded.ts': `${Array.from({ length: 5 }, (_, i) => body(`part${i}`, 56)).join('')}export const one = 1;\n`,
  };
  const tooLarge = /max-lines|max-params/;
  expect(refused(files, tooLarge)).toEqual(['src/plan/crowded.ts', 'src/plan/long.ts', 'src/plan/many.ts']);
});
