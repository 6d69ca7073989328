import { mkdir, mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { verifyCommand } from '../../src/cli/verify.ts';
import type { Report } from '../../src/verdict/report.ts';

const sample = fileURLToPath(new URL('../../fixtures/sample', import.meta.url));
/** What happens on the disk while the photos are checked. */
const meanwhile = vi.hoisted(() => ({ happens: async () => {} }));

const ready: Report = {
  schema: 'prewrap.report/1',
  unit: 'mm',
  stage: 'rings',
  verdict: 'ready',
  items: [],
  extras: [],
  photos: [],
  scale: { along: 1, across: 1, expanded: 0.001 },
  notes: [],
};
vi.mock('../../src/check/check_shoot.ts', () => ({
  checkShoot: async () => {
    await meanwhile.happens();
    return { report: ready, evidence: { photos: [], closeUps: [], rings: [] } };
  },
}));

let folder: string;
let said: string[];
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'prewrap-lost-'));
  said = [];
  vi.spyOn(console, 'log').mockImplementation(() => {});
  vi.spyOn(console, 'error').mockImplementation((text) => void said.push(String(text)));
});
afterEach(async () => {
  vi.restoreAllMocks();
  await rm(folder, { recursive: true, force: true });
});

const verify = () => verifyCommand([sample, '--report', join(folder, 'reports/rod.json')]);

test('a ready rod whose report is written is ready', async () => {
  meanwhile.happens = async () => {};
  expect(await verify()).toBe(0);
  expect(await readdir(join(folder, 'reports'))).toEqual(['rod.json']);
});

test('a ready rod whose report can no longer be written is neither ready nor something to fix', async () => {
  meanwhile.happens = async () => {
    await rm(join(folder, 'reports'), { recursive: true });
    await writeFile(join(folder, 'reports'), 'a file took its place');
  };
  expect(await verify()).toBe(3);
  expect(said).toHaveLength(1);
  expect(said[0]).toMatch(/rod\.json cannot be written \(a part of its path is a file, not a folder\): name another/);
});

test('nor one whose file became a folder, and no cut file is left', async () => {
  meanwhile.happens = () => mkdir(join(folder, 'reports/rod.json'));
  expect(await verify()).toBe(3);
  expect(said).toHaveLength(1);
  expect(await readdir(join(folder, 'reports'))).toEqual(['rod.json']);
});
