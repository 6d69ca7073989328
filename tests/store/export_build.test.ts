import { readFile } from 'node:fs/promises';
import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import { encodeText, packBuild, unpackBuild } from '../../src/store/archive.ts';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { parseShoot } from '../../src/plan/files/shoot_file.ts';
import { planOnMat } from '../../src/plan/pieces/pieces.ts';
import type { Build, BuildDocument, KeptCheck } from '../../src/store/build.ts';
import { exportBuild } from '../../src/store/export_build.ts';
import { importBuild, type ImportedBuild } from '../../src/store/import_build.ts';
import { isCurrent } from '../../src/store/is_current.ts';
import type { Report } from '../../src/verdict/report.ts';

const plan = parsePlan(await readFile(new URL('../../fixtures/sample/plan.json', import.meta.url), 'utf8'));
const place = 'GPSLatitude 46/1';

const photoFile = async (colour: string): Promise<Blob> =>
  new Blob([
    new Uint8Array(
      await sharp({ create: { width: 24, height: 16, channels: 3, background: colour } })
        .withExif({ IFD2: { FocalLengthIn35mmFilm: '26' }, IFD3: { GPSAreaInformation: place } })
        .jpeg()
        .toBuffer(),
    ),
  ]);

const report = (stage: 'marks' | 'rings'): Report => ({
  schema: 'prewrap.report/1',
  unit: 'mm',
  stage,
  verdict: 'reshoot',
  items: [],
  extras: [],
  photos: [],
  scale: { along: 1, across: 1, expanded: 0.001 },
  notes: [`checked as ${stage}`],
});

const entry = (id: string, name: string) => ({ id, name, bytes: 1, addedAt: '2026-11-20T10:00:00.000Z' });
const readings = {
  mat: { barAlong: 100.2, span: { fromTag: 0, toTag: 44, length: 1418 } },
  rest: { kind: 'flat' },
  rollReference: 'seat-card',
} as const;

const document: BuildDocument = {
  plan,
  thread: '#1f5f8b',
  lengths: 'in-fraction',
  shoot: { id: 's', stage: 'rings', ...readings, photos: [entry('p1', 'one.jpg'), entry('p2', 'walk/two.jpg')] },
  written: { 'positions.1.at': { text: '3 5/8', value: 92.075 } },
};

const build: Build = {
  schema: 'prewrap.build/1',
  id: 'b',
  revision: 5,
  createdAt: '2026-11-19T09:00:00.000Z',
  changedAt: '2026-11-20T09:00:00.000Z',
  sample: false,
  document,
};

const check = (
  id: string,
  at: string,
  stage: 'marks' | 'rings',
  photos: Record<string, string>,
  checkedPlan = plan,
): KeptCheck => ({
  id,
  buildId: 'b',
  at,
  plan: checkedPlan,
  shoot: { stage, ...readings, photos: Object.keys(photos) },
  photoIds: photos,
  report: report(stage),
  evidence: {
    photos: [],
    rings: [],
    closeUps: [
      { id: 'G1', file: 'one.jpg', rims: [[[1, 2]]], picture: { width: 3, height: 2, image: new Blob(['c']) } },
    ],
  },
});

const checks = [
  check('c3', '2026-11-20T10:00:00.000Z', 'rings', { 'one.jpg': 'p1', 'walk/two.jpg': 'p2' }),
  check('c2', '2026-11-20T09:00:00.000Z', 'rings', { 'one.jpg': 'p1' }, { ...plan, title: 'Before' }),
  check('c1', '2026-11-19T09:00:00.000Z', 'marks', { 'one.jpg': 'p0' }),
];

const exported = async (input: Partial<Parameters<typeof exportBuild>[0]> = {}) =>
  exportBuild({
    build,
    checks,
    photos: new Map([
      ['p0', await photoFile('#a00')],
      ['p1', await photoFile('#0a0')],
      ['p2', await photoFile('#00a')],
    ]),
    ...input,
  });
const opened = async (zip: Blob): Promise<ImportedBuild> => importBuild(zip, 'rod.zip');

describe('a build exported and opened again', () => {
  test('is the same build, with its photos, checks and pictures', async () => {
    const { zip, leftOut } = await exported();
    expect(leftOut).toEqual([]);
    const back = await opened(zip);
    const { photos, id: _, ...shoot } = back.build.document.shoot;
    expect(back.build).toMatchObject({ id: 'b', createdAt: build.createdAt, sample: false });
    expect(back.build.document).toMatchObject({
      plan,
      thread: document.thread,
      lengths: document.lengths,
      written: document.written,
    });
    expect(shoot).toEqual({ stage: 'rings', ...readings });
    expect(photos.map(({ name, addedAt }) => [name, addedAt])).toEqual(
      document.shoot.photos.map(({ name, addedAt }) => [name, addedAt]),
    );
    expect(back.checks.map(({ id, at, report: kept, plan: checked }) => [id, at, kept, checked.title])).toEqual(
      checks.map(({ id, at, report: kept, plan: checked }) => [id, at, kept, checked.title]),
    );
    expect(isCurrent(back.checks[0]!, back.build.document)).toBe(true);
    expect(isCurrent(back.checks[1]!, back.build.document)).toBe(false);
    expect(await back.checks[2]!.evidence.closeUps[0]!.picture.image.text()).toBe('c');
    expect(back.checks[2]!.evidence.closeUps[0]!.rims).toEqual([[[1, 2]]]);
  });

  test('stores a photo of several checks once, and the check finds it again', async () => {
    const back = await opened((await exported()).zip);
    expect(back.photos).toHaveLength(3);
    const first = back.build.document.shoot.photos[0]!.id;
    expect(back.checks[1]!.photoIds).toEqual({ 'one.jpg': first });
    expect(back.checks[2]!.photoIds['one.jpg']).not.toBe(first);
  });

  test('holds a folder that can be verified: a whole plan, a shoot that names its photos and the marks check before', async () => {
    const archive = unpackBuild(new Uint8Array(await (await exported()).zip.arrayBuffer()));
    expect(parsePlan(archive.plan)).toEqual(plan);
    const shoot = parseShoot(archive.shoot!);
    expect(shoot.photos).toEqual(['one.jpg', 'walk/two.jpg']);
    expect(archive.files.has(shoot.earlierMarks!)).toBe(true);
  });

  test('keeps what was set by hand, under each shoot’s own names for its photos', async () => {
    const points = (photo: string) => [{ id: 'G3', photo, points: [[10.25, 4]] as [number, number][] }];
    const gone = { id: 'no longer planned', photo: 'one.jpg', points: [[1, 1]] as [number, number][] };
    const pointed = { ...document, shoot: { ...document.shoot, byHand: [...points('one.jpg'), gone] } };
    const now = { ...checks[0]!, shoot: { ...checks[0]!.shoot, byHand: [...points('one.jpg'), gone] } };
    const before = { ...checks[1]!, shoot: { ...checks[1]!.shoot, byHand: points('one.jpg') } };
    const { zip } = await exported({ build: { ...build, document: pointed }, checks: [now, before] });
    const archive = unpackBuild(new Uint8Array(await zip.arrayBuffer()));
    expect(parseShoot(archive.shoot!).byHand).toEqual(points('one.jpg'));
    const back = await opened(zip);
    expect(back.build.document.shoot.byHand).toEqual(points('one.jpg'));
    expect(back.checks.map((one) => one.shoot.byHand)).toEqual([points('one.jpg'), points('one.jpg')]);
    expect(isCurrent(back.checks[0]!, back.build.document)).toBe(true);
  });

  test.each([
    ['a piece it has', { joints: 1, piece: 2 }, 2],
    ['a piece it no longer has, joints taken out', { joints: 0, piece: 2 }, undefined],
    ['a piece it no longer has, fewer joints', { joints: 1, piece: 3 }, undefined],
  ])('names what lies on the mat: %s', async (_, { joints, piece }, named) => {
    const { fittings: __, ...whole } = plan;
    const inPieces = {
      ...whole,
      ...(joints > 0 && { joints: [{ kind: 'sleeve' as const, at: 600, length: 40 }] }),
    };
    const onMat = { ...document, plan: inPieces, shoot: { ...document.shoot, piece } };
    const { zip } = await exported({ build: { ...build, document: onMat }, checks: [] });
    const archive = unpackBuild(new Uint8Array(await zip.arrayBuffer()));
    // the folder can be verified: plan and shoot agree on what lies there
    expect(parseShoot(archive.shoot!).piece).toBe(named);
    expect(() => planOnMat(parsePlan(archive.plan), parseShoot(archive.shoot!))).not.toThrow();
    expect((await opened(zip)).build.document.shoot.piece).toBe(named);
  });

  test('says nowhere where a photo was taken', async () => {
    const { files } = unpackBuild(new Uint8Array(await (await exported()).zip.arrayBuffer()));
    for (const [name, content] of files) expect([name, Buffer.from(content).includes(place)]).toEqual([name, false]);
  });

  test('comes back unfinished as it was: no length, no photos, a distance not yet readable', async () => {
    const unfinished: BuildDocument = {
      ...document,
      plan: { ...plan, blank: { ...plan.blank, length: 0 } },
      shoot: { ...document.shoot, photos: [] },
      written: { 'new.at': { text: '3 5/' } },
    };
    const { zip } = await exported({ build: { ...build, document: unfinished }, checks: [] });
    const back = await opened(zip);
    expect(back.build.document).toMatchObject({ plan: unfinished.plan, written: unfinished.written });
    expect(back.build.document.shoot.mat).toEqual(readings.mat);
  });

  test('leaves behind, and names, a file that cannot be freed of its location', async () => {
    const photos = new Map([
      ['p1', await photoFile('#0a0')],
      ['p2', new Blob(['GIF89a'])],
    ]);
    const { zip, leftOut } = await exported({ photos, checks: [] });
    expect(leftOut).toEqual(['walk/two.jpg']);
    expect((await opened(zip)).build.document.shoot.photos.map(({ name }) => name)).toEqual(['one.jpg']);
  });
});

test('a zipped folder without build.json opens as a new build', async () => {
  const bytes = new Uint8Array(await (await exported({ checks: [] })).zip.arrayBuffer());
  const { files } = unpackBuild(bytes);
  files.delete('build.json');
  const back = await opened(new Blob([packBuild(files, new Date())]));
  expect(back.build.document.plan).toEqual(plan);
  expect(back.build.id).not.toBe('b');
  expect(back.photos).toHaveLength(2);
});

test('a build.json that was changed is refused in one sentence', async () => {
  const { files } = unpackBuild(new Uint8Array(await (await exported()).zip.arrayBuffer()));
  files.set('build.json', encodeText('{"schema":"prewrap.build-archive/1","id":7}'));
  await expect(opened(new Blob([packBuild(files, new Date())]))).rejects.toThrow(/^build\.json in rod\.zip was not/);
});
