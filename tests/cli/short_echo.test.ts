import { cp, mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { lensCommand } from '../../src/cli/lens.ts';
import { matCommand } from '../../src/cli/mat.ts';
import { planCommand } from '../../src/cli/plan.ts';
import { straightestCommand } from '../../src/cli/straightest.ts';
import { verifyCommand } from '../../src/cli/verify.ts';
import { faultOf, foreign } from '../fuzz/echoes.ts';

const sample = fileURLToPath(new URL('../../fixtures/sample', import.meta.url));
const commands = {
  verify: verifyCommand,
  plan: planCommand,
  straightest: straightestCommand,
  lens: lensCommand,
  mat: matCommand,
};

let folder: string;
beforeEach(async () => {
  // as long a name as a file system takes, in letters of two bytes
  folder = join(await mkdtemp(join(tmpdir(), 'prewrap-echo-')), foreign(120), foreign(120, '-'));
  await mkdir(folder, { recursive: true });
});
afterEach(async () => {
  await rm(join(folder, '../..'), { recursive: true, force: true });
});

/** Every line a command says on standard error, as it ends with exit code 3. */
async function refusal(command: keyof typeof commands, args: string[]): Promise<string> {
  let said = '';
  vi.spyOn(console, 'log').mockImplementation(() => {});
  vi.spyOn(console, 'error').mockImplementation((text) => (said += `${text}\n`));
  const code = await commands[command](args);
  vi.restoreAllMocks();
  expect([command, code]).toEqual([command, 3]);
  return said.trimEnd();
}

const name = foreign(100);
const lost = () => join(folder, `${name}.json`);
const rod = () => join(folder, 'rod');

/** The sample in a folder whose path is long, with a shoot that names these photos. */
async function rodWith(shoot: object, plan: (good: object) => object = (good) => good): Promise<string> {
  await cp(sample, rod(), { recursive: true });
  const good = async (file: string) => JSON.parse(await readFile(join(rod(), file), 'utf8')) as object;
  await writeFile(join(rod(), 'shoot.json'), JSON.stringify({ ...(await good('shoot.json')), ...shoot }));
  await writeFile(join(rod(), 'plan.json'), JSON.stringify(plan(await good('plan.json'))));
  return rod();
}

/** What is asked of each command, and why it is refused. */
const asked: { why: string; command: keyof typeof commands; args: () => Promise<string[]> | string[] }[] = [
  ...(Object.keys(commands) as (keyof typeof commands)[]).flatMap((command) => [
    {
      why: 'no such file or folder',
      command,
      args: () =>
        [lost(), '--save', lost(), lost()]
          .slice(0, command === 'lens' || command === 'mat' ? 3 : 1)
          .concat(command === 'straightest' ? [lost()] : []),
    },
    { why: 'an option nobody knows', command, args: () => [`--${name}`, name] },
    { why: 'too many names', command, args: () => [lost(), lost(), name, `--${name}=${name}`] },
  ]),
  { why: 'a file that is no folder', command: 'verify', args: async () => (await writeFile(lost(), ''), [lost()]) },
  { why: 'a folder without a plan', command: 'verify', args: () => [folder] },
  {
    why: 'a report that is a folder',
    command: 'verify',
    args: async () => [await rodWith({ byHand: undefined }), '--report', folder],
  },
  {
    why: 'pictures that are a file',
    command: 'verify',
    args: async () => (await writeFile(lost(), ''), [await rodWith({ byHand: undefined }), '--pictures', lost()]),
  },
  {
    why: 'a photo that is not there',
    command: 'verify',
    args: async () => [await rodWith({ photos: [`photos/${name}.jpg`], byHand: undefined })],
  },
  {
    why: 'a photo that is a folder',
    command: 'verify',
    args: async () => {
      const made = await rodWith({ photos: [`photos/${name}`], byHand: undefined });
      await mkdir(join(made, 'photos', name));
      return [made];
    },
  },
  {
    why: 'a photo named twice',
    command: 'verify',
    args: async () => {
      const made = await rodWith({ photos: [`photos/${name}`, `./photos/${name}`], byHand: undefined });
      await cp(join(made, 'photos/01.jpg'), join(made, 'photos', name));
      return [made];
    },
  },
  {
    why: 'a photo that is none',
    command: 'verify',
    args: async () => {
      const made = await rodWith({ photos: [`photos/${name}.jpg`], byHand: undefined });
      await writeFile(join(made, 'photos', `${name}.jpg`), foreign(500));
      return [made];
    },
  },
  {
    why: 'a lens that is none',
    command: 'verify',
    args: async () => (
      await writeFile(lost(), `{"schema":"${name}"}`), [await rodWith({ byHand: undefined }), '--lens', lost()]
    ),
  },
  {
    why: 'a mat that is none',
    command: 'verify',
    args: async () => (
      await writeFile(lost(), `{"schema":"prewrap.mat/${name}"}`),
      [await rodWith({ byHand: undefined }), '--mat', lost()]
    ),
  },
  {
    why: 'an earlier report that is not there',
    command: 'verify',
    args: async () => [await rodWith({ byHand: undefined, earlierMarks: `${name}.json` })],
  },
  {
    why: 'guides of one long name',
    command: 'verify',
    args: async () => [
      await rodWith({ byHand: undefined }, (plan) => ({
        ...plan,
        positions: (plan as { positions: object[] }).positions.map((one) => ({ ...one, id: foreign(180) })),
      })),
    ],
  },
  {
    why: 'a layout written over itself',
    command: 'plan',
    args: async () => {
      await writeFile(
        lost(),
        JSON.stringify({
          schema: 'prewrap.layout/1',
          title: name,
          unit: 'mm',
          blank: { length: 1418, tipDiameter: 1.7, buttDiameter: 11.4, finish: 'dark' },
          guides: Array.from({ length: 5 }, () => ({
            ringOuter: 6,
            ringInner: 4.3,
            height: 6.5,
            lean: 0,
            foot: 'single',
          })),
          layout: { kind: 'growth', growth: 'geometric', firstGap: 100, last: 948 },
        }),
      );
      return [lost(), '--out', lost()];
    },
  },
  { why: 'two layouts', command: 'plan', args: () => [lost(), name] },
  {
    why: 'a layout that is none',
    command: 'plan',
    args: async () => (await writeFile(lost(), `{"${name}":`), [lost()]),
  },
  {
    why: 'reports of no blank',
    command: 'straightest',
    args: async () => (await writeFile(lost(), `["${name}"]`), [lost(), lost()]),
  },
  { why: 'a name of two lines', command: 'lens', args: () => [folder, '--save', lost(), '--name', `${name}\n${name}`] },
  { why: 'a folder with no photos', command: 'lens', args: () => [folder, '--save', lost()] },
  { why: 'a lens kept in a folder', command: 'lens', args: () => [folder, '--save', folder] },
  { why: 'a mat of nothing', command: 'mat', args: () => [folder, '--save', lost()] },
];

test.each(asked)('$command: $why, in one line with 80 characters of it at most', async ({ command, args }) => {
  const said = await refusal(command, await args());
  expect(said).not.toBe('');
  expect(faultOf(said), said).toBeUndefined();
});
