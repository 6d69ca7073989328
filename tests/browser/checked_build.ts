import { ringOf } from '../../src/plan/plan.ts';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { parseShoot } from '../../src/plan/files/shoot_file.ts';
import type { Build, KeptCheck } from '../../src/store/build.ts';
import { exportBuild } from '../../src/store/export_build.ts';
import type { Report, ReportItem } from '../../src/verdict/report.ts';
import { sampleFolder } from './app_page.ts';

/** Where the made-up photos say they were taken; must be in no export. */
export const hiddenPlace = 'under the alder bridge';

/** A made-up report on the sample's plan: all in place, or G3 3.2 mm off. */
export function madeReport(plan: Build['document']['plan'], ready: boolean): Report {
  const items = plan.positions
    .filter((position) => position.kind === 'guide')
    .map((position): ReportItem => {
      const off = !ready && position.id === 'G3';
      return {
        id: position.id,
        kind: 'guide',
        planned: position.at,
        found: true,
        along: { value: position.at + (off ? 3.2 : 0.3), expanded: 0.4 },
        alongVerdict: off ? 'off' : 'on',
        roll: { value: -0.4, expanded: 0.3 },
        rollVerdict: 'on',
        ringOuter: { value: ringOf(position.guide)!.ringOuter, expanded: 0.2 },
        guideVerdict: 'as-planned',
        ...(off && { advice: 'Slide G3 3.2 mm toward the tip.' }),
      };
    });
  return {
    schema: 'prewrap.report/1',
    unit: 'mm',
    stage: 'rings',
    verdict: ready ? 'ready' : 'fix',
    items,
    extras: [],
    photos: [],
    scale: { along: 1, across: 1, expanded: 0.0002 },
    notes: [],
  };
}

/** The sample as a zip with two photos and one finished check on them. */
export async function checkedBuild({
  ready = true,
  id = 'made-up',
  report = {},
  read = [],
}: {
  ready?: boolean;
  id?: string;
  /** what its report says otherwise */
  report?: Partial<Report>;
  /** photos it has read, by name, so that places can be pointed out in them */
  read?: readonly string[];
} = {}): Promise<Buffer> {
  const plan = parsePlan(await readFile(join(sampleFolder, 'plan.json'), 'utf8'));
  const { photos: _, ...readings } = parseShoot(await readFile(join(sampleFolder, 'shoot.json'), 'utf8'));
  const picture = async (colour: string, width: number, height: number) =>
    new Blob([
      new Uint8Array(
        await sharp({ create: { width, height, channels: 3, background: colour } })
          .withExif({ IFD3: { GPSAreaInformation: hiddenPlace } })
          .jpeg()
          .toBuffer(),
      ),
    ]);
  const at = '2026-11-20T10:00:00.000Z';
  const build: Build = {
    schema: 'prewrap.build/1',
    id,
    revision: 1,
    createdAt: at,
    changedAt: at,
    sample: false,
    document: {
      plan,
      thread: '#1f5f8b',
      lengths: 'mm',
      shoot: {
        ...readings,
        id: 'shoot',
        photos: ['one', 'two'].map((name) => ({ id: name, name: `${name}.jpg`, bytes: 1, addedAt: at })),
      },
    },
  };
  const check: KeptCheck = {
    id: `${id}-check`,
    buildId: id,
    at,
    plan,
    shoot: { ...readings, photos: ['one.jpg', 'two.jpg'] },
    photoIds: { 'one.jpg': 'one', 'two.jpg': 'two' },
    report: { ...madeReport(plan, ready), ...report },
    evidence: {
      photos: read.map((file) => ({
        file,
        width: 800,
        height: 600,
        tags: [],
        axis: [],
        outlines: [],
        rings: [],
        marks: [],
      })),
      rings: [],
      ribbon: {
        from: -10,
        pixelsPerMm: 1,
        picture: { width: 1440, height: 60, image: await picture('#556677', 1440, 60) },
      },
      closeUps: await Promise.all(
        ['G1', 'G2', 'G3'].map(async (guide) => ({
          id: guide,
          file: 'one.jpg',
          rims: [
            [
              [20, 20],
              [60, 20],
              [60, 60],
              [20, 60],
              [20, 20],
            ] as [number, number][],
          ],
          picture: { width: 80, height: 80, image: await picture('#887755', 80, 80) },
        })),
      ),
    },
  };
  const photos = new Map([
    ['one', await picture('#777', 800, 600)],
    ['two', await picture('#888', 800, 600)],
  ]);
  const { zip } = await exportBuild({ build, checks: [check], photos });
  return Buffer.from(await zip.arrayBuffer());
}
