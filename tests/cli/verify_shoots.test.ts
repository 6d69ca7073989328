import { spawnSync } from 'node:child_process';
import { cp, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { verifyCommand } from '../../src/cli/verify.ts';
import type { Report } from '../../src/verdict/report.ts';

vi.setConfig({ testTimeout: 500_000, hookTimeout: 500_000 });

const folderOf = (name: string) => new URL(`../../fixtures/${name}/`, import.meta.url);

describe('the command line says in one sentence what cannot be used', () => {
  let root: string;
  beforeAll(async () => {
    root = await mkdtemp(join(tmpdir(), 'prewrap-'));
  });
  afterAll(() => rm(root, { recursive: true }));

  let made = 0;
  /** A copy of a set with changes; answers its folder. */
  async function variant(set: string, change: (folder: string) => Promise<void>): Promise<string> {
    const folder = join(root, String(made++));
    await cp(fileURLToPath(folderOf(set)), folder, { recursive: true });
    await change(folder);
    return folder;
  }
  const editJson = async (file: string, edit: (json: Record<string, unknown>) => void) => {
    const json = JSON.parse(await readFile(file, 'utf8')) as Record<string, unknown>;
    edit(json);
    await writeFile(file, JSON.stringify(json));
  };
  const onlyPhotos = (folder: string, photos: string[]) =>
    editJson(join(folder, 'shoot.json'), (shoot) => {
      shoot.photos = photos;
    });

  /** Runs the command; what it says on each stream. */
  async function run(folder: string, ...more: string[]): Promise<{ code: number; said: string; printed: string }> {
    const said = vi.spyOn(console, 'error').mockImplementation(() => {});
    const printed = vi.spyOn(console, 'log').mockImplementation(() => {});
    try {
      const code = await verifyCommand([folder, ...more]);
      const text = (spy: typeof said) => spy.mock.calls.map((call) => call.join(' ')).join('\n');
      return { code, said: text(said), printed: text(printed) };
    } finally {
      said.mockRestore();
      printed.mockRestore();
    }
  }

  async function expectRefused(folder: string, ...words: RegExp[]): Promise<void> {
    const { code, said, printed } = await run(folder);
    expect(code, said).toBe(3);
    expect(printed).toBe('');
    expect(said).not.toMatch(/!|\n|undefined|NaN/);
    for (const word of words) expect(said).toMatch(word);
  }

  test.each<[string, Buffer, RegExp]>([
    ['empty', Buffer.alloc(0), /02\.jpg.*empty/i],
    ['not a photo', Buffer.from('{"not": "a photo"}'), /02\.jpg/],
  ])('a file that is %s', async (_, bytes, words) => {
    const folder = await variant('walks/d1-rings-one', async (into) => {
      await writeFile(join(into, 'photos/02.jpg'), bytes);
      await onlyPhotos(into, ['photos/02.jpg']);
    });
    await expectRefused(folder, words);
  });

  test('a photo cut off half way', async () => {
    const folder = await variant('walks/d1-rings-one', async (into) => {
      const photo = join(into, 'photos/01.jpg');
      const bytes = await readFile(photo);
      await writeFile(photo, bytes.subarray(0, bytes.length >> 1));
    });
    await expectRefused(folder, /01\.jpg/);
  });

  test('a picture of more than 52 megapixels, told from its header', async () => {
    const folder = await variant('walks/d1-rings-one', async (into) => {
      const small = await sharp({ create: { width: 20, height: 20, channels: 3, background: 'white' } })
        .png()
        .toBuffer();
      small.writeUInt32BE(20_000, 16);
      small.writeUInt32BE(15_000, 20);
      await writeFile(join(into, 'photos/01.jpg'), small);
    });
    await expectRefused(folder, /01\.jpg/, /megapixel/);
  });

  test('a photo without tags', async () => {
    const folder = await variant('walks/d1-rings-one', async (into) => {
      const grey = await sharp({ create: { width: 1200, height: 900, channels: 3, background: '#b0a090' } })
        .jpeg()
        .toBuffer();
      await writeFile(join(into, 'photos/01.jpg'), grey);
    });
    await expectRefused(folder, /01\.jpg shows none of the mat's tags/);
  });

  test('a mirrored photo', async () => {
    const folder = await variant('sample', async (into) => {
      const photo = join(into, 'photos/01.jpg');
      await onlyPhotos(into, ['photos/01.jpg']);
      await writeFile(
        photo,
        await sharp(await readFile(photo))
          .flop()
          .toBuffer(),
      );
    });
    await expectRefused(folder, /01\.jpg is mirrored/);
  });

  test('a photo that is not there', async () => {
    const folder = await variant('walks/d1-rings-one', (into) => onlyPhotos(into, ['photos/07.jpg']));
    await expectRefused(folder, /photos\/07\.jpg/);
  });

  test('a plan without guides', async () => {
    const folder = await variant('walks/d1-rings-one', (into) =>
      editJson(join(into, 'plan.json'), (plan) => {
        plan.positions = (plan.positions as { kind: string }[]).filter((p) => p.kind !== 'guide');
      }),
    );
    await expectRefused(folder, /no guides/);
  });

  test('a walk whose tip is in no photo', async () => {
    const folder = await variant('sample', (into) => onlyPhotos(into, ['photos/05.jpg', 'photos/06.jpg']));
    await expectRefused(folder, /tip end of the blank/);
  });

  test('photos of two arrangements', async () => {
    const folder = await variant('sample', async (into) => {
      await cp(fileURLToPath(new URL('photos/03.jpg', folderOf('walks/d1-marks-walk'))), join(into, 'photos/07.jpg'));
      await onlyPhotos(into, ['photos/02.jpg', 'photos/03.jpg', 'photos/07.jpg']);
    });
    await expectRefused(folder, /moved between the photos|slid/);
  });

  test('a span that contradicts the bars: nothing is passed, and it is said', async () => {
    const folder = await variant('walks/d2-marks-walk', (into) =>
      editJson(join(into, 'shoot.json'), (shoot) => {
        shoot.photos = ['photos/01.jpg', 'photos/02.jpg'];
        // four squares on along one page, 50 mm each as printed
        shoot.mat = { ...(shoot.mat as object), span: { fromTag: 0, toTag: 4, length: 160 } };
      }),
    );
    const file = join(folder, 'out', 'report.json');
    const { code, printed } = await run(folder, '--report', file);
    expect([1, 2]).toContain(code);
    const report = JSON.parse(await readFile(file, 'utf8')) as Report;
    expect(report.items.filter((i) => i.alongVerdict === 'on')).toEqual([]);
    expect(report.verdict).not.toBe('ready');
    expect(printed).toMatch(/contradict/);
  });

  test('and a shoot that can be used: the table, the report and the exit code', async () => {
    const folder = await variant('walks/d2-marks-walk', (into) => onlyPhotos(into, ['photos/01.jpg', 'photos/02.jpg']));
    const file = join(folder, 'report.json');
    const { code, said, printed } = await run(folder, '--report', file);
    expect(code).toBe(1);
    expect(said).toBe('');
    expect(printed).toMatch(/G3/);
    const report = JSON.parse(await readFile(file, 'utf8')) as Report;
    expect(report).toMatchObject({ schema: 'prewrap.report/1', unit: 'mm', stage: 'marks', verdict: 'fix' });

    // sources as they stand have one thread here; put together the command has two, and says the same to the byte
    const again = join(folder, 'again.json');
    const command = fileURLToPath(new URL('../../src/cli/command.mjs', import.meta.url));
    const words = ['verify', folder, '--threads', '2', '--report', again];
    const { status, stdout } = spawnSync(process.execPath, [command, ...words], { encoding: 'utf8' });
    expect(status).toBe(1);
    expect(stdout.trimEnd()).toBe(printed.trimEnd());
    expect(await readFile(again, 'utf8')).toBe(await readFile(file, 'utf8'));
  });
});
