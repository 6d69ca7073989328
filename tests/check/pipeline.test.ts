import { cp, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { verifyCommand } from '../../src/cli/verify.ts';
import type { Report, ReportItem } from '../../src/verdict/report.ts';
import { type Judgement, judgeReport, readSet, rms, runSet, type Shot, worst } from './pipeline_judge.ts';

/**
 * The whole check on photo sets with known truth, reduced to half or six tenths of their size (q88): path-traced
 * pictures of made-up rods with a phone's lens, noise and sharpening, see fixtures/walks/README.md. At this size a
 * pixel is 0.3 mm, so the limits are wider than at full size: stated at each.
 */
vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

/** One run a set, shared by the tests that look at it. */
const runs = new Map<string, Promise<{ shot: Shot; report: Report }>>();
function runOf(name: string): Promise<{ shot: Shot; report: Report }> {
  let run = runs.get(name);
  if (!run) {
    // The sample's truth stands apart, since the app ships its folder.
    const shot = readSet(folderOf(name), folderOf(name === 'sample' ? 'walks/d1-rings-walk' : name));
    run = runSet(shot).then((report) => ({ shot, report }));
    runs.set(name, run);
  }
  return run;
}

const folderOf = (name: string) => new URL(`../../fixtures/${name}/`, import.meta.url);

describe.each([
  { name: 'dark rod, seat card', photos: 'sample', net: 0.15, roll: 0.8 },
  { name: 'light rod on blocks, portrait', photos: 'walks/d2-rings-walk', net: 0.15, roll: 0.8 },
  { name: 'dark rod, spine line', photos: 'walks/d3-rings-walk', net: 0.15, roll: 0.9 },
  {
    name: 'chrome guides, inches, mat printed at 97 %, tip to the right',
    photos: 'walks/d4-rings-walk',
    net: 0.15,
    roll: 1.2,
  },
  { name: 'marks on a dark rod', photos: 'walks/d1-marks-walk', net: 0.15, roll: 0 },
  { name: 'marks on a light rod', photos: 'walks/d2-marks-walk', net: 0.15, roll: 0 },
])('$name', ({ photos, net, roll }) => {
  let shot: Shot;
  let report: Report;
  let judged: Judgement;
  beforeAll(async () => {
    ({ shot, report } = await runOf(photos));
    judged = judgeReport(shot, report);
  });

  test('everything is found, and nothing that is not there', () => {
    expect(judged.lost).toEqual([]);
    expect(judged.ghosts).toEqual([]);
  });

  test('no false pass, no false flag', () => {
    expect(judged.falsePass).toEqual([]);
    expect(judged.falseFlag).toEqual([]);
  });

  test('places and rolls are as good as the photos allow, and no surer', () => {
    expect(rms(judged.net)).toBeLessThan(net);
    expect(worst(judged.net)).toBeLessThan(0.5);
    expect(worst(judged.along)).toBeLessThan(0.7);
    expect(judged.covered).toBeGreaterThanOrEqual(0.9);
    if (roll === 0) return;
    expect(judged.roll.length).toBeGreaterThan(report.items.length / 2);
    expect(rms(judged.roll)).toBeLessThan(roll);
    expect(judged.rollCovered).toBeGreaterThanOrEqual(0.8);
  });

  test('the report is whole: every photo used, a verdict that its items bear out', () => {
    expect(report.photos.map((p) => p.file)).toEqual(shot.shoot.photos);
    for (const photo of report.photos) {
      expect(photo.tags).toBeGreaterThan(8);
      expect(photo.residual).toBeLessThan(0.35);
    }
    const faults = report.items.filter(
      (i) => i.alongVerdict === 'off' || i.alongVerdict === 'missing' || i.rollVerdict === 'off',
    );
    expect(report.verdict === 'fix').toBe(
      faults.length > 0 || report.extras.length > 0 || report.items.some((i) => i.guideVerdict === 'different'),
    );
  });
});

const itemOf = (report: Report, id: string): ReportItem => report.items.find((i) => i.id === id)!;

describe('what was set wrong on purpose is named', () => {
  test('a ring off its place, one on its mark by the foot, one rolled', async () => {
    const { report } = await runOf('sample');
    expect(itemOf(report, 'G3')).toMatchObject({ alongVerdict: 'off' });
    expect(itemOf(report, 'G3').advice).toMatch(/3\.[0-4] mm toward the tip/);
    expect(itemOf(report, 'G2')).toMatchObject({ alongVerdict: 'off' });
    expect(itemOf(report, 'G2').cause).toMatch(/foot/);
    expect(itemOf(report, 'G5')).toMatchObject({ rollVerdict: 'off' });
    expect(itemOf(report, 'G5').advice).toMatch(/counter-clockwise/);
  });

  test('a missing mark, one misread by half an inch, one too many', async () => {
    const { report } = await runOf('walks/d2-marks-walk');
    expect(itemOf(report, 'G3')).toMatchObject({ found: false, alongVerdict: 'missing' });
    expect(itemOf(report, 'G5')).toMatchObject({ alongVerdict: 'off' });
    expect(itemOf(report, 'G5').cause).toMatch(/half an inch/);
    expect(report.extras.length).toBe(1);
    expect(Math.abs(report.extras[0]!.along.value - 641)).toBeLessThan(1);
  });
});

describe('chrome guides, tip to the right', () => {
  test('the missing guide and the one a half inch and more off are named, in inches', async () => {
    const { report } = await runOf('walks/d4-rings-walk');
    expect(itemOf(report, 'G3')).toMatchObject({ found: false, alongVerdict: 'missing' });
    expect(itemOf(report, 'G5')).toMatchObject({ alongVerdict: 'off' });
    expect(itemOf(report, 'G5').advice).toMatch(/19\/32 in toward the tip/);
    expect(report.scale.along).toBeCloseTo(0.97, 3);
  });
});

describe('one photo from above', () => {
  test('finds every guide, passes nothing that is off, and its doubt covers its error', async () => {
    const shot = readSet(folderOf('walks/d1-rings-one'));
    const judged = judgeReport(shot, await runSet(shot));
    expect(judged.lost).toEqual([]);
    expect(judged.ghosts).toEqual([]);
    expect(judged.falsePass).toEqual([]);
    expect(judged.covered).toBeGreaterThanOrEqual(0.9);
    // 12 megapixels from 1.15 m: a pixel is 0.4 mm, and the height of the axis is known from how the rod rests only.
    expect(worst(judged.along)).toBeLessThan(1);
  });
});

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

  test('a picture of more than 100 megapixels, told from its header', async () => {
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
    const folder = await variant('walks/d1-rings-one', async (into) => {
      const photo = join(into, 'photos/01.jpg');
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
    const folder = await variant('sample', (into) =>
      onlyPhotos(into, ['photos/04.jpg', 'photos/05.jpg', 'photos/06.jpg']),
    );
    await expectRefused(folder, /tip end of the blank/);
  });

  test('photos of two arrangements', async () => {
    const folder = await variant('sample', async (into) => {
      await cp(fileURLToPath(new URL('photos/03.jpg', folderOf('walks/d1-marks-walk'))), join(into, 'photos/07.jpg'));
      await onlyPhotos(into, ['photos/01.jpg', 'photos/02.jpg', 'photos/03.jpg', 'photos/07.jpg']);
    });
    await expectRefused(folder, /moved between the photos|slid/);
  });

  test('a span that contradicts the bars: nothing is passed, and it is said', async () => {
    const folder = await variant('walks/d3-rings-walk', (into) =>
      editJson(join(into, 'shoot.json'), (shoot) => {
        const mat = shoot.mat as { span: { length: number } };
        mat.span.length -= 40;
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
    const folder = await variant('walks/d2-marks-walk', async () => {});
    const file = join(folder, 'report.json');
    const { code, said, printed } = await run(folder, '--report', file);
    expect(code).toBe(1);
    expect(said).toBe('');
    expect(printed).toMatch(/G3/);
    const report = JSON.parse(await readFile(file, 'utf8')) as Report;
    expect(report).toMatchObject({ schema: 'prewrap.report/1', unit: 'mm', stage: 'marks', verdict: 'fix' });
  });
});
