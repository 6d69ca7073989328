import { spawnSync } from 'node:child_process';
import { chmod, cp, link, mkdir, mkdtemp, readdir, readFile, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { runCommand } from '../../src/cli/commands.ts';
import { openFolder, openOutput } from '../../src/cli/outputs.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));
const sample = join(root, 'fixtures/sample');
let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'prewrap-cli-'));
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

interface Ended {
  code: number | null;
  out: string;
  error: string;
}
/** A command as the command line runs it, in this process. */
async function run(words: readonly string[]): Promise<Ended> {
  const said = { out: '', error: '' };
  vi.spyOn(console, 'log').mockImplementation((text) => (said.out += `${text}\n`));
  vi.spyOn(console, 'error').mockImplementation((text) => (said.error += `${text}\n`));
  const code = await runCommand(words);
  vi.restoreAllMocks();
  return { ...said, code };
}

/** One line on standard error, nothing on the other, exit code 3. */
function expectRefused({ code, out, error }: Ended, saying: RegExp): void {
  expect(error).toMatch(saying);
  expect(error.trimEnd().split(/[\r\n]/)).toHaveLength(1);
  expect(error.length).toBeLessThan(700);
  // oxlint-disable-next-line no-control-regex -- this is what must not be there
  expect(error.trimEnd()).not.toMatch(/[\u0000-\u001f\u007f]/);
  expect(out).toBe('');
  expect(code).toBe(3);
}

async function shootWith(photos: readonly string[]): Promise<string> {
  const shoot = JSON.parse(await readFile(join(sample, 'shoot.json'), 'utf8')) as object;
  await cp(sample, join(folder, 'rod'), { recursive: true });
  await writeFile(join(folder, 'rod/shoot.json'), JSON.stringify({ ...shoot, photos, byHand: undefined }));
  return join(folder, 'rod');
}

test('words that every object knows are no commands', () => {
  for (const word of ['constructor', '__proto__']) {
    // as the package's own scripts start a command: the second time from what the first has put together
    const { status, stderr, stdout } = spawnSync(process.execPath, [join(root, 'src/cli/command.mjs'), word], {
      encoding: 'utf8',
    });
    expectRefused({ code: status, out: stdout, error: stderr }, /^Say what to do/);
  }
});

test('a report that cannot be written is refused before the check, in one sentence', async () => {
  await mkdir(join(folder, 'taken'));
  await writeFile(join(folder, 'file'), '');
  expectRefused(await run(['verify', sample, '--report', join(folder, 'taken')]), /taken is a folder/);
  expectRefused(
    await run(['verify', sample, '--report', join(folder, 'file/report.json')]),
    /a part of its path is a file/,
  );
  expectRefused(await run(['verify', sample, '--report', '/dev/null']), /is no plain file/);
  expectRefused(await run(['verify', sample, '--pictures', join(folder, 'file')]), /file is a file: name a folder/);
  expect((await readdir(folder)).toSorted()).toEqual(['file', 'taken']);
});

test('a plan that cannot be written is refused, and nothing is printed as if it had been', async () => {
  await writeFile(
    join(folder, 'spec.json'),
    JSON.stringify({
      schema: 'prewrap.layout/1',
      title: 'Rod',
      unit: 'mm',
      blank: { length: 1418, tipDiameter: 1.7, buttDiameter: 11.4, finish: 'dark' },
      guides: Array.from({ length: 5 }, () => ({ ringOuter: 6, ringInner: 4.3, height: 6.5, lean: 0, foot: 'single' })),
      layout: { kind: 'growth', growth: 'geometric', firstGap: 100, last: 948 },
    }),
  );
  expectRefused(await run(['plan', join(folder, 'spec.json'), '--out', folder]), /is a folder/);
});

test('what is written is whole or not there: the old file stays until the new one is complete', async () => {
  const path = join(folder, 'report.json');
  await writeFile(path, 'old');
  const output = await openOutput(path);
  expect(await readFile(path, 'utf8')).toBe('old');
  await output.write('new');
  expect(await readFile(path, 'utf8')).toBe('new');
  await (await openOutput(path)).leave();
  expect(await readdir(folder)).toEqual(['report.json']);
  if (process.getuid?.() !== 0) {
    await chmod(folder, 0o500);
    await expect(openOutput(join(folder, 'other.json'))).rejects.toThrow('there is no right to write there');
    await expect(openFolder(join(folder, 'pictures'))).rejects.toThrow('there is no right to write there');
    await chmod(folder, 0o700);
  }
});

test('a disk that fills up is one sentence', async () => {
  await writeFile(
    join(folder, 'full.mts'),
    `import { openOutput } from '${join(root, 'src/cli/outputs.ts')}';
try { await (await openOutput('small')).write('x'.repeat(5e6)); } catch (error) { console.log(error.name, error.message); }`,
  );
  // a limit on the size of files ends a write as a full disk does
  const limited = `trap '' XFSZ; ulimit -f 1000; ${join(root, 'node_modules/.bin/tsx')} full.mts`;
  const { stdout } = spawnSync('bash', ['-c', limited], { encoding: 'utf8', cwd: folder });
  expect(stdout).toMatch(/^InputError small cannot be written \(/);
  expect(await readdir(folder)).toEqual(['full.mts']);
});

test.each([
  ['./photos/02.jpg', 'shoot.json names one photo twice'],
  ['photos/../photos/02.jpg', 'shoot.json names one photo twice'],
  ['photos/link.jpg', 'photos/link.jpg is a link'],
  ['photos/hard.jpg', 'shoot.json names one photo twice'],
  ['photos/pipe.jpg', 'photos/pipe.jpg is no plain file'],
  ['photos', 'photos is no plain file'],
  ['../outside.jpg', '../outside.jpg lies outside of'],
  ['photos/zero.jpg', 'photos/zero.jpg is a link'],
  ['photos/99.jpg', 'there is no such file'],
])('the photo %s is refused: %s', async (name, saying) => {
  const rod = await shootWith(['photos/02.jpg', name]);
  await symlink('02.jpg', join(rod, 'photos/link.jpg'));
  await symlink('/dev/zero', join(rod, 'photos/zero.jpg'));
  await link(join(rod, 'photos/02.jpg'), join(rod, 'photos/hard.jpg'));
  await cp(join(sample, 'photos/01.jpg'), join(folder, 'outside.jpg'));
  spawnSync('mkfifo', [join(rod, 'photos/pipe.jpg')]);
  expectRefused(await run(['verify', rod]), new RegExp(saying));
});

test('texts of megabytes, control characters and line breaks in names end in one short line', async () => {
  const rod = await shootWith(['photos/01.jpg']);
  const plan = JSON.parse(await readFile(join(sample, 'plan.json'), 'utf8')) as { positions: object[] };
  const long = 'x'.repeat(11_000_000);
  const half = long.slice(0, 5_000_000);
  const write = (text: string) => writeFile(join(rod, 'plan.json'), text);
  await write(JSON.stringify({ ...plan, title: long }));
  expectRefused(await run(['verify', rod]), /^plan\.json, title: is too long/);
  await write(JSON.stringify({ ...plan, unit: `${'\\n'.repeat(5_000_000)}` }));
  expectRefused(await run(['verify', rod]), /^plan\.json, unit: must be "mm" or "in"/);
  await write(`{"schema":"prewrap.plan/1","a\\u001b[31m${half}":1,"a\\u001b[31m${half}":2}`);
  expectRefused(await run(['verify', rod]), /given twice/);
  await write(`{"title":"${long}`);
  expectRefused(await run(['verify', rod]), /breaks off here/);
  await write(' '.repeat(21_000_000));
  expectRefused(await run(['verify', rod]), /larger than 20 MB/);
  expectRefused(
    await run(['verify', `no\nsuch\u001b[2Jfolder ${'y'.repeat(3000)}`]),
    /^There is no folder or zip no such/,
  );
  expectRefused(await run(['verify', sample, '--frobnicate', long.slice(0, 1000)]), /^The options are --report FILE/);
});
