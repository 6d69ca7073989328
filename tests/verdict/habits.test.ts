import { describe, expect, test } from 'vitest';
import type { KeptCheck } from '../../src/store/build.ts';
import { firstChecks } from '../../src/store/first_checks.ts';
import { type FirstCheck, habitsOf } from '../../src/verdict/habits.ts';
import type { ReportItem } from '../../src/verdict/report.ts';
import { seededNormal } from '../world/seeded_random.ts';

const rod = (
  stage: 'marks' | 'rings',
  offsets: readonly number[],
  rolls: readonly number[] = [],
  rollFromOutside = true,
): FirstCheck => ({
  rollFromOutside,
  report: {
    stage,
    items: offsets.map((offset, i): ReportItem => {
      const planned = 100 * (i + 1);
      return {
        id: `G${i}`,
        kind: 'guide',
        planned,
        found: true,
        along: { value: planned + offset, expanded: 0.2 },
        alongVerdict: 'on',
        ...(rolls[i] === undefined ? {} : { roll: { value: rolls[i], expanded: 0.3 } }),
      };
    }),
  },
});

describe('habits', () => {
  const marks = [
    rod('marks', [0.4, 0.5, 0.3, 0.6, 0.4]),
    rod('marks', [0.5, 0.3, 0.2, 0.6]),
    rod('marks', [0.3, 0.4, 0.7, 0.1, 0.4]),
    rod('marks', [0.5, 0.4, 0.45]),
    rod('marks', [0.35, 0.2, 0.4, 0.5]),
  ];

  test('marks that always sit a little toward the butt are told with their doubt', () => {
    const [habit, ...more] = habitsOf(marks);
    expect(more).toEqual([]);
    expect(habit).toMatchObject({ kind: 'marks', rods: 5, items: 21 });
    expect(habit!.mean).toBeCloseTo((0.4 + 0.4 + 0.4 + 0.45 + 0.375) / 5, 6);
    expect(habit!.expanded).toBeLessThan(0.05);
  });

  test('two rods, eleven items, or a mean too small to matter say nothing', () => {
    expect(habitsOf(marks.slice(0, 2))).toEqual([]);
    expect(
      habitsOf(
        [4, 4, 3].map((count) =>
          rod(
            'marks',
            Array.from({ length: count }, () => 0.5),
          ),
        ),
      ),
    ).toEqual([]);
    expect(
      habitsOf(
        [4, 4, 4].map((count) =>
          rod(
            'marks',
            Array.from({ length: count }, () => 0.5),
          ),
        ),
      ),
    ).toHaveLength(1);
    expect(
      habitsOf(
        [5, 5, 5].map((count) =>
          rod(
            'marks',
            Array.from({ length: count }, () => 0.19),
          ),
        ),
      ),
    ).toEqual([]);
  });

  test('a misread on each rod and a slipped tape on one neither make a habit nor hide one', () => {
    const [clean] = habitsOf(marks);
    const slipped = rod(
      'marks',
      [0.4, 0.5, 0.3, 0.4].map((offset) => offset + 25.4),
    );
    const gross = marks.map(({ report, rollFromOutside }) => ({
      rollFromOutside,
      report: { ...report, items: [...report.items, ...rod('marks', [60]).report.items] },
    }));
    const [habit] = habitsOf([...gross, slipped]);
    expect(habit).toMatchObject({ kind: 'marks', rods: 5 });
    expect(Math.abs(habit!.mean - clean!.mean)).toBeLessThan(0.1);
    expect(habitsOf([0, -0.1, 0.1, 0].map((offset) => rod('marks', [offset, offset, offset, 60])))).toEqual([]);
  });

  test('roll against the rings’ own line is no habit; against the seat it is', () => {
    const rolls = [
      [1.2, 0.8, 1, 1.1],
      [0.9, 1, 1.3, 0.7],
      [1, 1.1, 0.9, 1.4],
    ];
    const rods = (outside: boolean) => rolls.map((some) => rod('rings', [0, 0.1, -0.1, 0], some, outside));
    expect(habitsOf(rods(false))).toEqual([]);
    expect(habitsOf(rods(true))).toMatchObject([{ kind: 'roll', rods: 3, items: 12 }]);
  });

  // each rod has a tip and tape error of its own that all its marks share
  const simulated = (habit: number, rods: number, trials: number, seed: number) => {
    const normal = seededNormal(seed);
    let told = 0;
    for (let trial = 0; trial < trials; trial++) {
      const checks = Array.from({ length: rods }, () => {
        const shared = 0.35 * normal();
        return rod(
          'marks',
          Array.from({ length: 8 }, () => habit + shared + 0.4 * normal()),
        );
      });
      told += habitsOf(checks).length;
    }
    return told / trials;
  };

  test.each([3, 5, 12])('without a habit %i rods claim one at most one time in twenty', (rods) => {
    // 5 % and three standard errors of 2000 trials
    expect(simulated(0, rods, 2000, rods)).toBeLessThan(0.05 + 3 * Math.sqrt((0.05 * 0.95) / 2000));
  });

  test('a habit of half a millimetre is told more often than not once there are six rods', () => {
    expect(simulated(0.5, 6, 500, 11)).toBeGreaterThan(0.5);
  });
});

test('the first round of photos speaks for the builder, by its last check; later rounds do not', () => {
  const check = (at: string, photos: string[], stage: 'marks' | 'rings' = 'rings') =>
    ({
      at,
      photoIds: Object.fromEntries(photos.map((id) => [`${id}.jpg`, id])),
      shoot: { rollReference: 'seat-card' },
      report: { stage, items: [], notes: [at] },
    }) as unknown as KeptCheck;
  const checks = [
    check('2026-11-04', ['e', 'f']),
    check('2026-11-03', ['a', 'b', 'c']),
    check('2026-11-02', ['a', 'b']),
    check('2026-11-01', ['m'], 'marks'),
  ];
  expect(firstChecks(checks).map(({ report }) => (report as KeptCheck['report']).notes)).toEqual([
    ['2026-11-01'],
    ['2026-11-03'],
  ]);
});
