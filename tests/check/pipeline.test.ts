import { beforeAll, describe, expect, test, vi } from 'vitest';
import type { Report, ReportItem } from '../../src/verdict/report.ts';
import { type Judgement, judgeReport, readSet, rms, runSet, type Shot, worst } from './pipeline_judge.ts';

/**
 * The whole check on photo sets with known truth, reduced to half or six tenths of their size (q88): path-traced
 * pictures of made-up rods with a phone's lens, noise and sharpening, see fixtures/walks/README.md. At this size a
 * pixel is 0.3 mm, so the limits are wider than at full size: stated at each.
 */
vi.setConfig({ testTimeout: 500_000, hookTimeout: 500_000 });

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
  { name: 'light rod on blocks, portrait', photos: 'walks/d2-rings-walk', net: 0.15, roll: 1 },
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
