import { spawnSync } from 'node:child_process';
import { cp, mkdir, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { checkRack, type RackOptions } from '../../src/cli/rack.ts';
import { exitCodeOf, type Outcome, rackCsv } from '../../src/cli/rack_outcome.ts';
import { verifyCommand } from '../../src/cli/verify.ts';
import type { Report } from '../../src/verdict/report.ts';
import { reportToText } from '../../src/verdict/report_file.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));
const oneShot = join(root, 'fixtures/walks/d1-rings-one');
let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'prewrap-rack-test-'));
});
afterEach(async () => {
  vi.restoreAllMocks();
  await rm(folder, { recursive: true, force: true });
});

const reportOf = (verdict: Report['verdict'] = 'ready', more: Partial<Report> = {}): Report => ({
  schema: 'prewrap.report/1',
  unit: 'mm',
  stage: 'rings',
  verdict,
  items: [
    {
      id: 'G1',
      kind: 'guide',
      planned: 92,
      found: true,
      along: { value: 92.1, expanded: 0.4 },
      alongVerdict: verdict === 'fix' ? 'off' : verdict === 'ready' ? 'on' : 'unsure',
      rollVerdict: 'on',
      guideVerdict: 'as-planned',
    },
  ],
  extras: [],
  photos: [],
  scale: { along: 1, across: 1, expanded: 0.0003 },
  notes: [],
  ...more,
});

/** A build's folder with a photo that is only some bytes: these tests check what is done round the checks. */
async function build(name: string): Promise<string> {
  const path = join(folder, name);
  await mkdir(join(path, 'photos'), { recursive: true });
  await cp(join(oneShot, 'plan.json'), join(path, 'plan.json'));
  const shoot = JSON.parse(await readFile(join(oneShot, 'shoot.json'), 'utf8')) as { photos: string[] };
  await writeFile(join(path, 'shoot.json'), JSON.stringify({ ...shoot, photos: ['photos/1.jpg'] }));
  await writeFile(join(path, 'photos/1.jpg'), name);
  return path;
}

const codes = { ready: 0, fix: 1, reshoot: 2 };
/** A check that answers what the build's name begins with, and the names of those that were checked. */
function madeChecks(): { check: NonNullable<RackOptions['check']>; checked: string[]; most: () => number } {
  const checked: string[] = [];
  let running = 0;
  let most = 0;
  const check: RackOptions['check'] = async (path, report) => {
    const name = basename(path);
    checked.push(name);
    running++;
    most = Math.max(most, running);
    await new Promise((resolve) => setTimeout(resolve, 20));
    running--;
    if (name.startsWith('crash')) return { code: 1, said: 'TypeError: no such thing' };
    const verdict = name.split('-')[0] as Report['verdict'];
    await writeFile(report, reportToText(reportOf(verdict)));
    return { code: codes[verdict], said: '' };
  };
  return { check, checked, most: () => most };
}

async function rack(paths: string[], options: RackOptions): Promise<{ code: number; table: string }> {
  let table = '';
  vi.spyOn(console, 'log').mockImplementation((text) => (table += `${text}\n`));
  const code = await checkRack(paths, options);
  vi.restoreAllMocks();
  return { code, table };
}

test('one table, one CSV and one exit code for all, in the order they were named; a bad folder stops nothing', async () => {
  const paths = [await build('ready-a'), join(folder, 'nowhere'), await build('fix-b'), await build('crash-c')];
  await writeFile(join(await build('bad'), 'plan.json'), '{');
  paths.push(join(folder, 'bad'), await build('reshoot-d'), `${paths[0]}/`);
  const { check, checked, most } = madeChecks();
  const csv = join(folder, 'all.csv');
  const { code, table } = await rack(paths, { check, csv, jobs: 2 });
  expect(code).toBe(3);
  expect(checked.toSorted()).toEqual(['crash-c', 'fix-b', 'ready-a', 'reshoot-d']);
  expect(most()).toBe(2);
  const rows = table.split('\n');
  expect(rows.slice(1, 7).map((row) => row.split(/ +/)[0])).toEqual([
    'ready-a',
    'nowhere',
    'fix-b',
    'crash-c',
    'bad',
    'reshoot-d',
  ]);
  expect(rows[1]).toMatch(/rings +1 +0 +0 +Ready to wrap\.$/);
  expect(rows[2]).toContain('There is no folder or zip');
  expect(rows[3]).toMatch(/rings +1 +1 +0 +Move one guide\.$/);
  expect(rows[4]).toContain('TypeError: no such thing');
  expect(rows[5]).toContain('plan.json');
  expect(table).toContain('6 builds: 1 ready, 1 to fix, 1 to shoot again, 3 that could not be checked');
  const lines = (await readFile(csv, 'utf8')).trimEnd().split('\r\n');
  expect(lines).toHaveLength(7);
  expect(lines[3]).toMatch(/^fix-b,"Alder brook rod, one piece",rings,fix,Move one guide\.,1,1,0,0,0\.40,,0,$/);
});

test('a stopped run goes on: what was checked and has not changed is not checked again', async () => {
  const paths = [await build('ready-a'), await build('fix-b'), await build('ready-c')];
  const reports = join(folder, 'reports');
  const first = madeChecks();
  // stopped in the middle: the last was never begun
  await rack(paths.slice(0, 2), { check: first.check, reports });
  const again = madeChecks();
  const { code, table } = await rack(paths, { check: again.check, reports });
  expect(again.checked).toEqual(['ready-c']);
  expect(code).toBe(1);
  expect(table).toMatch(/ready-a .*Ready to wrap\. \(as before\)/);
  expect((await readdir(reports)).toSorted()).toEqual([
    'fix-b.report.json',
    'rack.json',
    'ready-a.report.json',
    'ready-c.report.json',
  ]);

  // another photo, a reading changed, a report taken away: checked anew, the rest not
  await writeFile(join(paths[0]!, 'photos/1.jpg'), 'another');
  await rm(join(reports, 'ready-c.report.json'));
  const third = madeChecks();
  await rack(paths, { check: third.check, reports });
  expect(third.checked.toSorted()).toEqual(['ready-a', 'ready-c']);
});

test('a check that breaks off is never taken for what was found before', async () => {
  const path = await build('ready-a');
  const reports = join(folder, 'reports');
  await rack([path], { check: madeChecks().check, reports });
  await writeFile(join(path, 'photos/1.jpg'), 'another');
  const broken = async () => ({ code: 1, said: '' });
  const { code, table } = await rack([path], { check: broken, reports });
  expect(code).toBe(3);
  expect(table).toContain('ended without an answer');
});

test('builds of one name keep apart, and nothing that stands in the folder is written over', async () => {
  const reports = join(folder, 'reports');
  await mkdir(reports);
  await writeFile(join(reports, 'ready.report.json'), 'mine');
  const paths = [await build('one/ready'), await build('two/ready')];
  const { code, table } = await rack(paths, { check: madeChecks().check, reports });
  expect(code).toBe(0);
  expect(table).toMatch(/^ready .*\nready-2 /m);
  expect(await readFile(join(reports, 'ready.report.json'), 'utf8')).toBe('mine');
  await writeFile(join(reports, 'rack.json'), '{"schema":"prewrap.rack/1","builds":[{"report":"../../etc/x.json"}]}');
  await expect(rack(paths, { check: madeChecks().check, reports })).rejects.toThrow(/rack\.json is damaged/);
});

test('the most pressing verdict is the exit code, and a title cannot be a formula in the CSV', () => {
  const of = (verdict: Report['verdict']): Outcome => ({
    kind: 'checked',
    name: verdict,
    title: '=1+1',
    report: reportOf(verdict),
    again: false,
  });
  expect(exitCodeOf([])).toBe(0);
  expect(exitCodeOf([of('ready'), of('ready')])).toBe(0);
  expect(exitCodeOf([of('ready'), of('reshoot')])).toBe(2);
  expect(exitCodeOf([of('reshoot'), of('fix')])).toBe(1);
  expect(exitCodeOf([of('fix'), { kind: 'unusable', name: 'x', problem: 'y' }])).toBe(3);
  expect(rackCsv([of('ready')])).toContain("ready,'=1+1,rings,ready");
});

test.each([
  [['a', 'b', '--report', 'x.json'], /--report and --pictures are for one build/],
  [['a', 'b', '--jobs', '0'], /--jobs takes how many/],
  [['a', '--jobs', 'many'], /--jobs takes how many/],
])('%j is refused in one sentence', async (args, saying) => {
  let error = '';
  vi.spyOn(console, 'error').mockImplementation((text) => (error += text));
  expect(await verifyCommand(args)).toBe(3);
  expect(error).toMatch(saying);
});

test('from the command line each build has a process of its own, and its refusal is the build’s row', async () => {
  const { status, stdout, stderr } = spawnSync(
    join(root, 'node_modules/.bin/tsx'),
    [join(root, 'src/cli/main.ts'), 'verify', await build('blurred'), join(folder, 'nowhere'), '--jobs', '2'],
    { encoding: 'utf8' },
  );
  expect(stderr).toBe('');
  expect(status).toBe(3);
  expect(stdout).toMatch(/^blurred .*photos\/1\.jpg/m);
  expect(stdout).toMatch(/^nowhere .*There is no folder or zip/m);
  expect(stdout).toContain('2 that could not be checked');
}, 180_000);
