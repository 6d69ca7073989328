import { beforeAll, describe, expect, test, vi } from 'vitest';
import { makeCheckMemory } from '../../src/check/check_memory.ts';
import { checkShoot } from '../../src/check/check_shoot.ts';
import type { Progress } from '../../src/check/place_photos.ts';
import type { Report } from '../../src/verdict/report.ts';
import type { RodGuide, RodOptions } from '../world/world_rod.ts';
import { checkDrawn, type DrawnCase, drawnGuide as guide } from './drawn_check.ts';
import { type Judgement, loadedFinder, rms, worst } from './pipeline_judge.ts';

/** Whole checks on drawn photos of made-up rods that no path tracer was asked for. Drawing takes most of the time. */
vi.setConfig({ testTimeout: 240_000, hookTimeout: 240_000 });

const onBlocks = { buttHeight: 28, tipHeight: 28 };
const slim: RodOptions = {
  length: 520,
  tipRadius: 0.9,
  buttRadius: 3.2,
  ...onBlocks,
  side: -3,
  skew: 0.006,
  bow: 1.2,
  sag: 0.8,
  guides: [guide(110, 1.2, 8, 7), guide(245, -0.8, 10, 10), guide(400, 0.3, 16, 17, 8)],
};

const [first, second, third] = slim.guides as [RodGuide, RodGuide, RodGuide];

const cases: [string, DrawnCase & { wrongWay?: string[] }][] = [
  [
    'a slim dark blank with a ring 2.6 mm off, another guide the wrong way round',
    {
      rod: { ...slim, guides: [first, second, { ...third, footToward: 'tip' }] },
      planned: { G2: 242.4 },
      wrongWay: ['G3'],
    },
  ],
  [
    'the tip at the last page, the mat printed at 97 %',
    { rod: slim, mat: { tipAtLastTile: true, printScale: { along: 0.97, across: 0.972 } } },
  ],
  [
    'a thick glossy butt section, the lamp’s image along it',
    {
      rod: {
        ...slim,
        tipRadius: 4.2,
        buttRadius: 6.6,
        gloss: { strength: 0.9, exponent: 120 },
        guides: [guide(140, 2, 16, 16, 8), guide(330, -2, 25, 26, 10)],
      },
      planned: { G1: 143.1 },
    },
  ],
];

/** One check a case, shared by the tests that look at it. */
const runs = new Map<DrawnCase, ReturnType<typeof checkDrawn>>();
function runOf(scene: DrawnCase): ReturnType<typeof checkDrawn> {
  const run = runs.get(scene) ?? checkDrawn(scene);
  runs.set(scene, run);
  return run;
}

describe.each(cases)('%s', (_, scene) => {
  let report: Report;
  let judged: Judgement;
  beforeAll(async () => {
    ({ report, judged } = await runOf(scene));
  });

  test('every ring is found and nothing else, nothing is passed that is off', () => {
    expect(judged.lost).toEqual([]);
    expect(judged.ghosts).toEqual([]);
    expect(judged.falsePass).toEqual([]);
    expect(judged.falseFlag).toEqual([]);
  });

  test('what lies the wrong way round is told, and nothing else', () => {
    expect(report.items.flatMap(({ id, setWrongWay }) => (setWrongWay ? [id] : []))).toEqual(scene.wrongWay ?? []);
  });

  test('places and rolls are right, and about as sure as they are right', () => {
    // Three photos of 2 megapixels: a pixel is 0.3 mm and most rings show in two.
    expect(worst(judged.along)).toBeLessThan(0.7);
    expect(rms(judged.roll)).toBeLessThan(2);
    // The frame joins these rings of 25 pixels on one side and pulls by up to a pixel: 95 in 100 would lie within 1.
    expect(worst(judged.overDoubt)).toBeLessThan(1.5);
    expect(report.photos.every((p) => p.residual < 0.3)).toBe(true);
  });
});

test('a check that grew photo by photo says what one from scratch says, and reads the last photo alone', async () => {
  const { plan, shoot, report, pictures } = await runOf(cases[0]![1]);
  const finder = await loadedFinder();
  const memory = makeCheckMemory();
  const read: number[] = [];
  const load = async (i: number) => {
    read.push(i);
    return pictures[i]!;
  };
  const grow = (photos: readonly string[], onProgress: (progress: Progress) => void) =>
    checkShoot(plan, { ...shoot, photos: [...photos] }, load, onProgress, { finder, remembered: memory(photos) });
  // as in a walk that went on meanwhile, what began with fewer photos is left before its end, in the midst of a stage
  let asked = 0;
  const left = grow(shoot.photos.slice(0, -1), ({ stage }) => {
    if (stage === 'Finding the blank' && ++asked > 3) throw new Error('more has come in');
  });
  await expect(left).rejects.toThrow('more has come in');
  expect(read).toEqual([0, 1]);
  read.length = 0;
  const grown = await grow(shoot.photos, () => {});
  expect(read).toEqual([2]);
  expect(grown.report).toEqual(report);
});

describe('a rod of two pieces put together, the tip piece over the butt piece and turned by 8 degrees', () => {
  const twist = 8;
  let report: Report;
  beforeAll(async () => {
    ({ report } = await checkDrawn({
      rod: {
        ...slim,
        tipRadius: 1.5,
        buttRadius: 4.4,
        joint: { at: 290, step: 0.5 },
        guides: [
          guide(70, twist + 0.4, 8, 7),
          guide(150, twist - 0.5, 8, 8),
          guide(235, twist + 0.2, 10, 10),
          guide(370, -0.3, 12, 13),
          guide(450, 0.4, 16, 17, 8),
        ],
      },
      joints: [{ kind: 'sleeve', at: 290, length: 50 }],
    }));
  });

  test('the joint’s roll is told within its doubt, and the joint is what is to be turned', () => {
    const [joint] = report.joints!;
    // what the drawn rings of the pieces have in common: their means
    const drawn = twist + 0.1 / 3 - 0.05;
    expect(Math.abs(joint!.roll!.value - drawn)).toBeLessThan(joint!.roll!.expanded);
    expect(joint).toMatchObject({ rollVerdict: 'off', rings: [3, 2] });
    expect(report.items.some(({ turnedByJoint }) => turnedByJoint === 1)).toBe(true);
    // turned round is another matter
    expect(report.items.filter(({ advice = '' }) => /Turn G\d [\d.]+ degrees/.test(advice))).toEqual([]);
    expect(Math.abs(joint!.open!.value)).toBeLessThan(joint!.open!.expanded);
  });
});
