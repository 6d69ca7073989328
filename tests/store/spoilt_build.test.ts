import { readFile } from 'node:fs/promises';
import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { parseShoot } from '../../src/plan/files/shoot_file.ts';
import { InputError } from '../../src/plan/input_error.ts';
import type { Build, KeptCheck } from '../../src/store/build.ts';
import { exportBuild } from '../../src/store/export_build.ts';
import { importBuild } from '../../src/store/import_build.ts';
import { readBuild, readCheck } from '../../src/store/kept_schema.ts';
import { packZip, unpackZip } from '../../src/store/zip.ts';
import type { Report } from '../../src/verdict/report.ts';
import { faultOf } from '../fuzz/echoes.ts';

const sample = (file: string) => readFile(new URL(`../../fixtures/sample/${file}`, import.meta.url), 'utf8');
const plan = parsePlan(await sample('plan.json'));
const { photos: _, ...readings } = parseShoot(await sample('shoot.json'));
const madeAt = '2026-11-20T10:00:00.000Z';
const image = new Blob(['a picture']);

const report: Report = {
  schema: 'prewrap.report/1',
  unit: 'mm',
  stage: 'rings',
  verdict: 'reshoot',
  items: [],
  extras: [],
  photos: [],
  scale: { along: 1, across: 1, expanded: 0.001 },
  notes: [],
};
const check: KeptCheck = {
  id: 'check',
  buildId: 'build',
  at: madeAt,
  plan,
  shoot: { ...readings, photos: ['one.jpg'] },
  photoIds: { 'one.jpg': 'one' },
  report,
  evidence: {
    photos: [
      {
        file: 'one.jpg',
        width: 800,
        height: 600,
        tags: [{ id: 1, corners: [[1, 2]] }],
        axis: [[3, 4]],
        outlines: [[[5, 6]], [[7, 8]]],
        rings: [{ id: 'G1', rims: [[[9, 10]]] }],
        marks: [],
        covers: { from: 0, to: 300 },
      },
    ],
    rings: [{ id: 'G1', along: 92, right: 0.1, up: 6, ringOuter: 6, blankRadius: 1, roll: 0.5 }],
    closeUps: [{ id: 'G1', file: 'one.jpg', rims: [[[20, 20]]], picture: { width: 80, height: 80, image } }],
    ribbon: { from: -10, pixelsPerMm: 1, picture: { width: 1440, height: 60, image } },
  },
};
const build: Build = {
  schema: 'prewrap.build/1',
  id: 'build',
  revision: 1,
  createdAt: madeAt,
  changedAt: madeAt,
  sample: false,
  document: {
    plan,
    thread: '#1f5f8b',
    lengths: 'mm',
    printed: { paper: 'A4', tiles: 5 },
    written: { 'plan.title': { text: 'A rod', value: 3 } },
    shoot: { ...readings, id: 'shoot', photos: [] },
  },
};
const photo = await sharp({ create: { width: 24, height: 16, channels: 3, background: '#777' } })
  .jpeg()
  .toBuffer();
const photos = new Map([['one', new Blob([new Uint8Array(photo)])]]);
const { zip } = await exportBuild({ build, checks: [check], photos });
const files = unpackZip(new Uint8Array(await zip.arrayBuffer()), 'rod.zip');
const evidencePath = [...files.keys()].find((path) => path.endsWith('evidence.json'))!;
const decoded = (path: string) => JSON.parse(new TextDecoder().decode(files.get(path))) as Json;

type Json = null | boolean | number | string | Json[] | { [name: string]: Json };
const gone = Symbol('gone');

/** A value with one of those in it, however deep, put in place by another or taken out: each by the way to it. */
function* spoilt(value: Json, by: Json | typeof gone, way = ''): Generator<[way: string, value: Json]> {
  if (typeof value !== 'object' || value === null) return;
  for (const name of Object.keys(value)) {
    const held = (value as Record<string, Json>)[name]!;
    const put = (instead: Json | typeof gone): Json => {
      if (Array.isArray(value))
        return instead === gone ? value.toSpliced(Number(name), 1) : value.with(Number(name), instead);
      const { [name]: _before, ...others } = value;
      return instead === gone ? others : { ...others, [name]: instead };
    };
    yield [`${way}/${name}`, put(by)];
    for (const [deeper, changed] of spoilt(held, by, `${way}/${name}`)) yield [deeper, put(changed)];
  }
}

/** The build out of a zip with one of its files changed: as it opens, or the sentence that it is refused with. */
async function opened(path: string, value: Json) {
  const changed = new Map(files).set(path, new TextEncoder().encode(JSON.stringify(value)));
  try {
    return await importBuild(new Blob([packZip(changed, new Date(2026, 10, 20))]), 'rod.zip');
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    expect(faultOf(error.message)).toBeUndefined();
    return error.message;
  }
}

test('the good one opens, check and pictures and all', async () => {
  const back = await opened('build.json', decoded('build.json'));
  if (typeof back === 'string') throw new Error(back);
  expect(back.build.document).toMatchObject({ plan: build.document.plan, printed: build.document.printed });
  expect(back.checks[0]!.evidence.photos).toEqual(check.evidence.photos);
  expect(back.checks[0]!.evidence.closeUps[0]!.rims).toEqual(check.evidence.closeUps[0]!.rims);
});

describe('build.json edited by hand is refused in one sentence', () => {
  const about = decoded('build.json') as Record<string, Json>;
  const readingsOf = (mat: Json) => ({ ...about, readings: { ...(about['readings'] as object), mat } });
  test.each<[string, Json]>([
    ['null readings', { ...about, readings: null }],
    ['a null reading of the mat', readingsOf({ rowAlong: null })],
    ['a reading of 1e308', readingsOf({ rowAlong: 1e308 })],
    ['a span of 1e308', readingsOf({ span: { fromTag: 0, toTag: 1e308, length: 1000 } })],
    ['1e9 tiles', { ...about, printed: { tiles: 1e9 } }],
    ['half a tile', { ...about, printed: { tiles: 1.5 } }],
    ['no dates', Object.fromEntries(Object.entries(about).filter(([name]) => !name.endsWith('At')))],
    ['a date that is none', { ...about, changedAt: 'yesterday' }],
    [
      'a blank of a thousand kilometres',
      { ...about, unfinishedPlan: { ...plan, blank: { ...plan.blank, length: 1e9 } } as unknown as Json },
    ],
    ['no checks', { ...about, checks: null }],
    ['a number where a field’s text was', { ...about, written: { a: 5 } }],
    ['a colour that is none', { ...about, thread: 'red' }],
  ])('%s', async (_what, value) => {
    expect(await opened('build.json', value)).toMatch(/^build\.json in rod\.zip was not written by this version/);
  });
});

test('lists in lists without end where a number belongs are refused', async () => {
  const deep = Array.from({ length: 80 }).reduce<Json>((inner) => [inner], []);
  const about = decoded('build.json') as Record<string, Json>;
  expect(await opened('build.json', { ...about, written: { a: { text: '', value: deep } } })).toMatch(/^build\.json/);
});

describe('a kept record is read as strictly, so that its build is called damaged and the rest is shown', () => {
  const record = structuredClone(build) as unknown as Record<string, Json>;
  const document = record['document'] as Record<string, Json>;
  const withDocument = (changes: object): Json => ({ ...record, document: { ...document, ...changes } });
  const without = (name: string): Json => Object.fromEntries(Object.entries(record).filter(([own]) => own !== name));
  const mat = (value: Json): Json => withDocument({ shoot: { ...(document['shoot'] as object), mat: value } });
  test.each<[string, Json]>([
    ['no document', without('document')],
    ['no date', without('changedAt')],
    ['a date that is none', { ...record, changedAt: 'yesterday' }],
    ['null readings', mat(null)],
    ['a null reading', mat({ rowAlong: null })],
    ['a reading of 1e308', mat({ rowAlong: 1e308 })],
    ['1e9 tiles', withDocument({ printed: { tiles: 1e9 } })],
    ['a blank of 1e9 mm', withDocument({ plan: { ...plan, blank: { ...plan.blank, length: 1e9 } } })],
    ['no plan', withDocument({ plan: null })],
    ['nothing at all', null],
  ])('%s', (_what, value) => {
    expect(readBuild(record)).toBeDefined();
    expect(readBuild(value)).toBeUndefined();
  });
});

const wrong: (Json | typeof gone)[] = [null, 1e308, 1e9, 'yesterday', [], gone];

test.each(['build.json', evidencePath])(
  'whatever value of %s is spoilt, what opens can be kept and read again',
  async (path) => {
    let refused = 0;
    let kept = 0;
    for (const by of wrong)
      for (const [way, value] of spoilt(decoded(path), by)) {
        const back = await opened(path, value);
        if (typeof back === 'string') refused++;
        else {
          kept++;
          expect(readBuild(back.build), way).toBeDefined();
          for (const one of back.checks) expect(readCheck(one), way).toBeDefined();
        }
      }
    expect(kept).toBeGreaterThan(10);
    if (path === 'build.json') expect(refused).toBeGreaterThan(50);
  },
);

test('spoilt pictures leave a check its findings', async () => {
  for (const by of [null, 1e308, {}] as Json[]) {
    const evidence = decoded(evidencePath) as Record<string, Json>;
    const back = await opened(evidencePath, {
      ...evidence,
      photos: [{ ...(evidence['photos'] as object[])[0], axis: by }] as Json,
    });
    if (typeof back === 'string') throw new Error(back);
    expect(back.checks[0]!.report.verdict).toBe('reshoot');
    expect(back.checks[0]!.evidence).toEqual({ photos: [], closeUps: [], rings: [] });
  }
});
