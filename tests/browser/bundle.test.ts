import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { expect, test } from 'vitest';
import { distFolder } from './dist_folder.ts';

const read = (file: string) => readFileSync(join(distFolder, file));
const list = (): { shell: string[]; late: string[] } => {
  const text = /JSON\.parse\(("(?:[^"\\]|\\.)*")\)/.exec(read('service_worker.js').toString())?.[1];
  return JSON.parse(JSON.parse(text ?? '""'));
};

test('the first screen needs under 150 kB over the wire and nothing of OpenCV', () => {
  const page = read('index.html').toString();
  const files = [...page.matchAll(/(?:src|href)="\.\/([^"]+\.(?:js|css))"/g)].map((match) => match[1]!);
  expect(files.length).toBeGreaterThanOrEqual(2);
  const bytes = ['index.html', ...files].map((file) => gzipSync(read(file)).length);
  expect(bytes.reduce((sum, size) => sum + size, 0)).toBeLessThan(150_000);
  expect(files.filter((file) => /opencv/.test(file))).toEqual([]);
});

test('every script is kept for offline use, OpenCV and the finder’s networks on first use, and every listed file is there', () => {
  const { shell, late } = list();
  expect([...shell, ...late].filter((file) => file !== './' && !existsSync(join(distFolder, file)))).toEqual([]);
  const scripts = readdirSync(join(distFolder, 'assets')).filter((name) => name.endsWith('.js'));
  expect(scripts.map((name) => `assets/${name}`).filter((file) => ![...shell, ...late].includes(file))).toEqual([]);
  const kinds = ['lane-', 'opencv-', 'opencv_module-', 'strip-', 'tip-'];
  expect(late.filter((file) => !kinds.some((kind) => file.includes(kind)))).toEqual([]);
  expect(late).toHaveLength(kinds.length);
  expect(shell.filter((file) => file.startsWith('sample/'))).toEqual([]);
});

test('no address in the page leads away from where it is served', () => {
  const page = read('index.html').toString();
  const addresses = [...page.matchAll(/(?:src|href)="([^"]+)"/g)].map((match) => match[1]!);
  expect(addresses.filter((address) => !address.startsWith('./'))).toEqual([]);
});

test('headers of photos are read in workers only: no script of the page holds the reading', () => {
  const holding = readdirSync(join(distFolder, 'assets')).filter(
    (name) => name.endsWith('.js') && read(`assets/${name}`).includes('megapixels and the limit is'),
  );
  expect(holding.length).toBeGreaterThan(0);
  const ofThePage = /^(?:index|app_context|photos_screen|check_screen)-/;
  expect(holding.filter((name) => ofThePage.test(name))).toEqual([]);
  const page = read(
    `assets/${readdirSync(join(distFolder, 'assets')).find((name) => name.startsWith('photos_screen-'))}`,
  );
  for (const name of holding) expect(page.includes(name)).toBe(false);
});
