import { readFileSync } from 'node:fs';
import sharp from 'sharp';
import { lensProfileToText, parseLensProfile } from '../../src/adjust/lens_file.ts';
import type { LensProfile } from '../../src/adjust/lens_profile.ts';
import { fieldGridOf } from '../../src/geometry/lens_field.ts';
import { matProfileToText, parseMatProfile } from '../../src/adjust/mat_file.ts';
import type { MatProfile } from '../../src/adjust/mat_profile.ts';
import { InputError } from '../../src/plan/input_error.ts';
import { parseGuideSet } from '../../src/plan/files/guide_set.ts';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { parseShoot } from '../../src/plan/files/shoot_file.ts';
import { parseLayout } from '../../src/plan/layouts/layout_file.ts';
import { inspectPhotoFile } from '../../src/photo/inspect_photo.ts';
import { withoutLocation } from '../../src/photo/strip_location.ts';
import { encodeText, packBuild, unpackBuild } from '../../src/store/archive.ts';
import { parseReport } from '../../src/verdict/report_file.ts';
import { faultOf } from './echoes.ts';
import { seededUniform } from '../world/seeded_random.ts';

/** A kind of file this project reads: good ones to spoil, and what reads them. */
export interface Target {
  name: string;
  samples: Uint8Array[];
  /** `file`: what it is called, where that is said */
  read: (bytes: Uint8Array, file?: string) => unknown;
}

const file = (path: string) => readFileSync(new URL(`../../fixtures/${path}`, import.meta.url));
const guideSet = {
  schema: 'prewrap.guide-set/1',
  title: 'My guides',
  unit: 'mm',
  guides: [{ name: 'small', ringOuter: 6, ringInner: 4.3, height: 6.5, lean: 0, foot: 'single' }],
};
const report = {
  schema: 'prewrap.report/1',
  unit: 'mm',
  stage: 'rings',
  verdict: 'fix',
  items: [
    { id: 'G1', kind: 'guide', planned: 90, found: true, along: { value: 91, expanded: 0.2 }, alongVerdict: 'on' },
    { id: 'G2', kind: 'guide', planned: 190, found: false, alongVerdict: 'missing' },
  ],
  extras: [{ kind: 'ring', along: { value: 400, expanded: 0.3 } }],
  photos: [{ file: '01.jpg', tags: 20, residual: 0.15, problems: [] }],
  scale: { along: 1, across: 1, expanded: 0.0005 },
  notes: ['a note'],
};
const layout = {
  schema: 'prewrap.layout/1',
  title: 'A made-up rod',
  unit: 'mm',
  blank: { length: 1418, tipDiameter: 1.7, buttDiameter: 11.4, finish: 'dark' },
  guides: Array.from({ length: 5 }, () => ({ ringOuter: 6, ringInner: 4.3, height: 6.5, lean: 0, foot: 'single' })),
  layout: { kind: 'growth', growth: 'geometric', firstGap: 100, last: 948 },
};
const lens: LensProfile = {
  name: 'My phone',
  camera: 'Maker Phone, 4032 x 3024',
  photos: 12,
  corner: 0.1,
  grid: fieldGridOf(4032, 3024),
  values: [2963, 2016, 1512, 0.03, -0.04, 0, 0, 0, ...Array.from({ length: 84 }, () => 0.1)],
  covariance: Float64Array.from({ length: 92 ** 2 }, (_, k) => (k % 93 === 0 ? 1 : 0)),
};
const mat: MatProfile = {
  name: 'Bench mat',
  photos: 6,
  readings: { rowAlong: 224.1, span: { fromTag: 0, toTag: 14, length: 521 } },
  paper: 0.2,
  tiles: [0, 1].map((tile) => ({
    tile,
    x: 297 * tile,
    y: 0.1,
    yaw: 0,
    heights: Array.from({ length: 10 }, () => 0.1),
  })),
  printScale: { along: 1.001, across: 0.999 },
  covariance: Float64Array.from({ length: 28 ** 2 }, (_, k) => (k % 29 === 0 ? 0.01 : 0)),
};
const text = (value: unknown) => encodeText(JSON.stringify(value));
const words = (read: (text: string, file?: string) => unknown) => (bytes: Uint8Array, file?: string) =>
  read(new TextDecoder().decode(bytes), file);

/** Everything that reads what somebody hands over. */
export async function targets(): Promise<Target[]> {
  const photos = await Promise.all(
    (['jpeg', 'png', 'webp', 'avif'] as const).map((format) =>
      sharp({ create: { width: 24, height: 16, channels: 3, background: '#706050' } })
        .withExif({
          IFD0: { Make: 'Maker', Orientation: '6' },
          IFD2: { FocalLength: '57/10' },
          IFD3: { GPSLatitudeRef: 'N' },
        })
        .toFormat(format)
        .toBuffer(),
    ),
  );
  const [plan, shoot] = [file('sample/plan.json'), file('sample/shoot.json')];
  const onePhoto = { ...(JSON.parse(shoot.toString()) as object), photos: ['one.jpg'], byHand: undefined };
  const zip = packBuild(
    new Map([
      ['plan.json', plan],
      ['shoot.json', text(onePhoto)],
      ['one.jpg', photos[0]!],
    ]),
    new Date(2026, 10, 20),
  );
  return [
    { name: 'plan', samples: [plan], read: words(parsePlan) },
    { name: 'shoot', samples: [shoot], read: words(parseShoot) },
    { name: 'layout', samples: [text(layout)], read: words(parseLayout) },
    { name: 'guide set', samples: [text(guideSet)], read: words(parseGuideSet) },
    { name: 'report', samples: [text(report)], read: words(parseReport) },
    { name: 'lens', samples: [encodeText(lensProfileToText(lens))], read: words(parseLensProfile) },
    { name: 'mat', samples: [encodeText(matProfileToText(mat))], read: words(parseMatProfile) },
    { name: 'photo', samples: photos, read: (bytes, name = 'photo') => inspectPhotoFile({ name, bytes }) },
    { name: 'photo freed of its place', samples: photos, read: (bytes) => withoutLocation(bytes) },
    { name: 'zip', samples: [zip], read: (bytes, name = 'rod.zip') => unpackBuild(bytes, name) },
  ];
}

const hostileTokens = [
  'null',
  '1e308',
  '-1e308',
  '-0',
  '1e-320',
  '""',
  '[]',
  '{}',
  'true',
  '"\\u0000"',
  '"\\ud800"',
  '"__proto__"',
  '"constructor"',
  '[[[[[[[[[[',
  '{"a":',
  '9999999999999999999999',
  '"5 3/8"',
  '"1/0"',
  ',',
  ':',
  '"',
];

/** A good file spoilt in one to four places, always the same way for the same seed. */
export function spoilt(sample: Uint8Array, next: () => number): Uint8Array {
  let bytes = Uint8Array.from(sample);
  const upTo = (size: number) => Math.floor(next() * size);
  for (let times = 1 + upTo(4); times > 0 && bytes.length > 0; times--) {
    const at = upTo(bytes.length);
    const length = 1 + upTo(Math.min(64, bytes.length - at));
    switch (upTo(7)) {
      case 0:
        bytes[at] = upTo(256);
        break;
      case 1:
        bytes[at] = bytes[at]! ^ (1 << upTo(8));
        break;
      case 2:
        bytes = bytes.slice(0, at);
        break;
      case 3:
        bytes = joined(bytes.subarray(0, at), bytes.subarray(at + length));
        break;
      case 4:
        bytes = joined(bytes.subarray(0, at + length), bytes.subarray(at));
        break;
      case 5:
        bytes.fill(next() < 0.5 ? 0 : 255, at, at + Math.min(8, length));
        break;
      default:
        bytes = withToken(bytes, at, hostileTokens[upTo(hostileTokens.length)]!, next() < 0.5);
    }
  }
  return bytes;
}

function joined(...parts: Uint8Array[]): Uint8Array<ArrayBuffer> {
  const all = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}

/** A token put in at a place, or in place of the JSON value that follows it. */
function withToken(bytes: Uint8Array, at: number, token: string, instead: boolean): Uint8Array<ArrayBuffer> {
  const colon = instead ? bytes.indexOf(0x3a, at) : -1;
  if (colon < 0) return joined(bytes.subarray(0, at), encodeText(token), bytes.subarray(at));
  let end = colon + 1;
  while (end < bytes.length && bytes[end] !== 0x2c && bytes[end] !== 0x7d) end++;
  return joined(bytes.subarray(0, colon + 1), encodeText(token), bytes.subarray(end));
}

/** No reader may take longer over a small file, ms. */
const longest = 2000;

/** Reads one spoilt file. Throws where anything but an answer or one short sentence of InputError came of it. */
export function tryCase(all: readonly Target[], seed: number): void {
  const next = seededUniform(seed);
  const target = all[Math.floor(next() * all.length)]!;
  const sample = target.samples[Math.floor(next() * target.samples.length)]!;
  const bytes = spoilt(sample, next);
  const begun = performance.now();
  try {
    target.read(bytes);
  } catch (error) {
    if (!(error instanceof InputError))
      throw new Error(`seed ${seed}, ${target.name}: ${String(error)}`, { cause: error });
    const fault = faultOf(error.message);
    if (fault)
      throw new Error(`seed ${seed}, ${target.name}: its message ${fault}: ${error.message}`, { cause: error });
  }
  const took = performance.now() - begun;
  if (took > longest) throw new Error(`seed ${seed}, ${target.name}: took ${Math.round(took)} ms`);
}
