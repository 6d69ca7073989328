import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { straightestCommand } from '../../src/cli/straightest.ts';
import type { Report } from '../../src/verdict/report.ts';
import { reportToText } from '../../src/verdict/report_file.ts';

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'prewrap-straightest-'));
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

/** The report of a blank that bows to the right by `side` at this turn. */
async function reportAt(turn: number, side: number): Promise<string> {
  const along = Array.from({ length: 41 }, (_, i) => 25 * i);
  const report: Report = {
    schema: 'prewrap.report/1',
    unit: 'mm',
    stage: 'blank',
    verdict: 'ready',
    items: [],
    extras: [],
    photos: [],
    scale: { along: 1, across: 1, expanded: 0.001 },
    notes: [],
    blank: {
      diameters: along.map((s) => [s, 4, 0.1]),
      bow: along.map((s) => [s, side * Math.sin((Math.PI * s) / 1000), 0]),
      bowExpanded: along.map(() => [0.1, 0.5]),
      turn,
    },
  };
  const file = join(folder, `${turn}.json`);
  await writeFile(file, reportToText(report));
  return file;
}

async function run(files: string[]) {
  const said = { out: '', error: '' };
  vi.spyOn(console, 'log').mockImplementation((text) => (said.out += text));
  vi.spyOn(console, 'error').mockImplementation((text) => (said.error += text));
  const code = await straightestCommand(files);
  vi.restoreAllMocks();
  return { ...said, code };
}

test('four quarters say where to draw the line', async () => {
  const files = await Promise.all([reportAt(0, 0), reportAt(90, 2.5), reportAt(180, 0), reportAt(270, -2.5)]);
  const { out, code } = await run(files);
  expect(code).toBe(0);
  expect(out).toContain('The blank bows by 2.5 mm');
  expect(out).toContain('draw their line at the top; for guides that it bows away from, at the bottom');
});

test('reports that do not say enough are refused in one sentence', async () => {
  const one = await reportAt(0, 1);
  for (const [files, saying] of [
    [[one], 'Name two to four reports'],
    [[one, join(folder, 'none.json')], 'cannot be read'],
    [[one, await reportAt(180, -1)], 'turn it a quarter'],
  ] as const) {
    const { error, code } = await run([...files]);
    expect(code).toBe(3);
    expect(error).toContain(saying);
  }
});
