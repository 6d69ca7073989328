import { readFile } from 'node:fs/promises';
import { beforeAll, expect, test, vi } from 'vitest';
import { checkShoot } from '../../src/check/check_shoot.ts';
import { decodePhotoFile } from '../../src/photo/decode_node.ts';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { parseShoot } from '../../src/plan/files/shoot_file.ts';
import type { Report } from '../../src/verdict/report.ts';
import { loadedFinder } from './pipeline_judge.ts';

vi.setConfig({ hookTimeout: 500_000 });

/** Twenty-four small photos of a rod without a fault, as `tests/world/long_walk.ts` drew them. */
const folder = new URL('../../fixtures/walks/long-walk/', import.meta.url);

let report: Report;
beforeAll(async () => {
  const plan = parsePlan(await readFile(new URL('plan.json', folder), 'utf8'));
  const shoot = parseShoot(await readFile(new URL('shoot.json', folder), 'utf8'));
  const load = async (index: number) => {
    const name = shoot.photos[index]!;
    return decodePhotoFile({ name, bytes: await readFile(new URL(name, folder)) });
  };
  ({ report } = await checkShoot(plan, shoot, load, () => {}, { finder: await loadedFinder() }));
});

test('of a long walk every photo counts', () => {
  expect(report.photos).toHaveLength(24);
  expect(report.photos.flatMap(({ problems }) => problems).filter((p) => /counted once|not used/.test(p))).toEqual([]);
});

test('a rod without a fault is told no fault', () => {
  expect(report.items.map(({ sighting }) => sighting)).toEqual(Array(5).fill('found'));
  expect(report.extras).toEqual([]);
  for (const { id, alongVerdict, rollVerdict, setWrongWay, guideVerdict } of report.items) {
    expect([id, alongVerdict]).toEqual([id, 'on']);
    expect([id, rollVerdict]).not.toEqual([id, 'off']);
    expect([id, guideVerdict]).not.toEqual([id, 'different']);
    expect([id, setWrongWay]).toEqual([id, undefined]);
  }
});

test('the more photos, the surer: no place is known worse than the scale and the tip leave it', () => {
  for (const { id, planned, along, uncertainty } of report.items) {
    expect(Math.abs(along!.value - planned), id).toBeLessThan(along!.expanded);
    // One photo that shows a place where it is not was enough to leave it open by centimetres.
    expect(uncertainty!.geometry, id).toBeLessThan(0.1);
  }
});
