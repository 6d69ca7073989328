import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';

const root = fileURLToPath(new URL('../..', import.meta.url));

/** The rows of the table of faults: what goes wrong, what happens, and the files named in the last column. */
function rows(): { fault: string; files: string[] }[] {
  const text = readFileSync(join(root, 'DEVELOPERS.md'), 'utf8');
  const table = text.split('## Faults tried')[1]!.split('\n## ')[0]!;
  return table
    .split('\n')
    .filter((line) => line.startsWith('| ') && line.includes('`'))
    .map((line) => {
      const cells = line.split(/(?<!\\)\|/u).map((cell) => cell.trim());
      let folder = '';
      const files = [...cells[3]!.matchAll(/`([^`]+)`/gu)].flatMap(([, named]) => {
        if (named!.startsWith('npm ')) return [];
        const file = named!.includes('/') ? named! : join(folder, named!);
        folder = file.endsWith('/') ? file : dirname(file);
        return [file];
      });
      return { fault: cells[1]!, files };
    });
}

test('every fault of the table names tests that are there', () => {
  const table = rows();
  expect(table.length).toBeGreaterThan(30);
  expect(table.filter(({ files }) => files.length === 0).map(({ fault }) => fault)).toEqual([]);
  const lost = table.flatMap(({ files }) => files.filter((file) => !existsSync(join(root, file))));
  expect(lost).toEqual([]);
  // a folder holds tests
  for (const folder of table.flatMap(({ files }) => files.filter((file) => file.endsWith('/'))))
    expect(readdirSync(join(root, folder)).some((name) => name.endsWith('.test.ts'))).toBe(true);
});
