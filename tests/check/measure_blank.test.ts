import { beforeAll, describe, expect, test, vi } from 'vitest';
import { checkShoot } from '../../src/check/check_shoot.ts';
import type { Photo } from '../../src/photo/photo.ts';
import type { Plan } from '../../src/plan/plan.ts';
import type { Shoot } from '../../src/plan/shoot.ts';
import { parseReport, reportToText } from '../../src/verdict/report_file.ts';
import { reportTable } from '../../src/verdict/report_table.ts';
import type { Report } from '../../src/verdict/report.ts';
import { layTiles, trueReadings, walk, type World } from '../world/world.ts';
import { renderPhoto } from '../world/world_raster.ts';
import { makeRod, type RodOptions } from '../world/world_rod.ts';
import { loadedFinder, rms } from './pipeline_judge.ts';

/** A drawn bare blank, measured. Drawing takes most of the time, so all tests share its four photos. */
vi.setConfig({ testTimeout: 240_000, hookTimeout: 240_000 });

const rod: RodOptions = {
  length: 460,
  tipRadius: 1.1,
  buttRadius: 3.4,
  side: -2,
  skew: 0.005,
  bow: 2.2,
  tipHeight: 1.2,
  buttHeight: 3.6,
  // bowed up by 1.1 mm
  sag: -1.1,
  line: { from: 200, to: 330, roll: 22, width: 1.2, light: [0.75, 0.75, 0.72] },
};
const world: World = {
  ...layTiles({ tiles: 2 }),
  cameras: walk({ photos: 4, from: 60, to: rod.length - 60, distance: 330, width: 1600, height: 1200 }),
};
/** Wrong in every size, as a plan is before the blank was ever measured. */
const plan: Plan = {
  title: 'Made-up blank',
  unit: 'mm',
  blank: { length: 420, tipDiameter: 2.6, buttDiameter: 6.1, finish: 'dark' },
  positions: [],
  tolerance: { along: 1.5, roll: 2 },
};
const shoot: Shoot = {
  stage: 'blank',
  photos: world.cameras.map((_, i) => `${i + 1}.jpg`),
  mat: trueReadings(world, { fromTag: 0, toTag: 14 }),
  rest: { kind: 'flat' },
  rollReference: 'guides',
  turn: 90,
};

const diameterAt = (s: number) => 2 * (rod.tipRadius + ((rod.buttRadius - rod.tipRadius) * s) / rod.length);

/** The drawn axis bows as a parabola; from the chord between its ends, mm. */
const bowAt = (most: number, s: number, last: number) => {
  const bulge = (x: number) => (4 * x * (rod.length - x)) / rod.length ** 2;
  return most * (bulge(s) - (s / last) * bulge(last));
};

describe('a bare blank on the mat', () => {
  let pictures: Photo[];
  let report: Report;
  const measure = async (photos: readonly number[]) =>
    (
      await checkShoot(
        plan,
        { ...shoot, photos: photos.map((i) => shoot.photos[i]!) },
        async (i) => pictures[photos[i]!]!,
        () => {},
        { finder: await loadedFinder() },
      )
    ).report;

  beforeAll(async () => {
    const drawn = makeRod(rod);
    pictures = world.cameras.map((shot, i) => ({
      ...renderPhoto(world, shot, { rod: drawn, seed: i + 1 }),
      file: shoot.photos[i]!,
    }));
    report = await measure([0, 1, 2, 3]);
  });

  test('its length, though the plan has another', () => {
    const { length } = report.blank!;
    expect(Math.abs(length!.value - rod.length)).toBeLessThan(length!.expanded);
    expect(length!.expanded).toBeLessThan(2);
    expect(report.verdict).toBe('ready');
  });

  test('its diameters every 25 mm, within their doubt', () => {
    const { diameters } = report.blank!;
    expect(diameters.slice(0, 4).map(([s]) => s)).toEqual([0, 25, 50, 75]);
    const errors = diameters.map(([s, diameter]) => diameter - diameterAt(s));
    expect(rms(errors)).toBeLessThan(0.08);
    const inside = errors.filter((error, i) => Math.abs(error) <= diameters[i]![2]);
    expect(inside.length).toBeGreaterThanOrEqual(0.9 * errors.length);
    expect(Math.max(...diameters.map(([, , expanded]) => expanded))).toBeLessThan(0.4);
  });

  test('its bow sideways and up, within their doubt', () => {
    const { bow, bowExpanded } = report.blank!;
    const last = bow.at(-1)![0];
    // Heights are told by parallax alone, and the blank's own shadow shifts both outlines: up is the worse known way.
    for (const [way, most, limit] of [
      [1, rod.bow!, 0.15],
      [2, -rod.sag!, 0.25],
    ] as const) {
      const errors = bow.map((row) => row[way] - bowAt(most, row[0], last));
      expect(rms(errors)).toBeLessThan(limit);
      const inside = errors.filter((error, i) => Math.abs(error) <= bowExpanded![i]![way - 1]! + 1e-6);
      expect(inside.length).toBeGreaterThanOrEqual(0.9 * errors.length);
    }
  });

  test('the line drawn along it, within its doubt', () => {
    const { line } = report.blank!;
    expect(line!.from).toBeGreaterThan(180);
    expect(line!.to).toBeLessThan(350);
    expect(Math.abs(line!.roll.value - rod.line!.roll)).toBeLessThan(line!.roll.expanded);
    expect(line!.roll.expanded).toBeLessThan(6);
  });

  test('is said in a table and reads again from its file', () => {
    expect(parseReport(reportToText(report)).blank!.turn).toBe(90);
    const table = reportTable(plan, report);
    expect(table).toContain('The blank is measured.');
    expect(table).toMatch(/The blank is 4\d\d(\.\d)? mm long, give or take \d\.\d\./);
    expect(table).toMatch(/A line is drawn along it, 2\d(\.\d)? degrees clockwise from the top as it lies/);
    expect(table).toMatch(/bows to the right by [12]\.\d mm/);
  });

  test('without a photo of its butt the length is not made up', async () => {
    const short = await measure([0]);
    expect(short.blank!.length).toBeUndefined();
    expect(short.verdict).toBe('reshoot');
    expect(short.notes.join(' ')).toContain('The butt end was not made out');
  });

  test('where photos from the side alone show it, its diameters are asked for again', async () => {
    const tilted = await measure([1, 2]);
    expect(tilted.verdict).toBe('reshoot');
    expect(tilted.notes.join(' ')).toContain('from straight above');
  });
});

test('a sleeve on it is told with its ends and its step, two layers of tape and a mark are not', async () => {
  const drawn = makeRod({
    length: 460,
    tipRadius: 1.4,
    buttRadius: 3.6,
    tipHeight: 2.3,
    buttHeight: 4.4,
    sleeves: [
      { from: 150, to: 192, stands: 0.7 },
      { from: 260, to: 275, stands: 0.15 },
    ],
    marks: [{ at: 310, width: 1.5, light: [0.7, 0.7, 0.68] }],
  });
  const shots = walk({ photos: 3, from: 80, to: 400, distance: 330, width: 1600, height: 1200 });
  const photos = shots.map((shot, i) => renderPhoto(world, shot, { rod: drawn, seed: i + 1 }));
  const { report } = await checkShoot(
    { ...plan, blank: { length: 460, tipDiameter: 2.8, buttDiameter: 7.2, finish: 'dark' } },
    { ...shoot, photos: photos.map((_, i) => `${i + 1}.jpg`) },
    async (i) => ({ ...photos[i]!, file: `${i + 1}.jpg` }),
    () => {},
    { finder: await loadedFinder() },
  );
  const [sleeve, ...more] = report.blank!.fittings!;
  expect(more).toEqual([]);
  expect(sleeve!.kind).toBe('ferrule');
  expect(Math.abs(sleeve!.from.value - 150)).toBeLessThan(sleeve!.from.expanded);
  expect(Math.abs(sleeve!.to.value - 192)).toBeLessThan(sleeve!.to.expanded);
  expect(sleeve!.to.expanded).toBeLessThan(2.5);
  expect(Math.abs(sleeve!.thicker - 1.4)).toBeLessThan(0.3);
  expect(parseReport(reportToText(report)).blank!.fittings).toHaveLength(1);
  expect(reportTable(plan, report)).toMatch(/A ferrule or sleeve stands from 1(49|50)\.\d mm/);
});
