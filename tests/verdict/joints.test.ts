import { describe, expect, it } from 'vitest';
import type { Plan, Position } from '../../src/plan/plan.ts';
import type { Shoot } from '../../src/plan/shoot.ts';
import { planOfPiece } from '../../src/plan/pieces/pieces.ts';
import { answerOf } from '../../src/verdict/answer.ts';
import { wrapDegrees } from '../../src/verdict/common_roll.ts';
import { judge } from '../../src/verdict/judge.ts';
import type { MeasuredPlace, MeasuredShoot } from '../../src/verdict/measured_shoot.ts';
import { PieceOffsets, type PlaceOffset } from '../../src/verdict/piece_offsets.ts';
import { parseReport, reportToText } from '../../src/verdict/report_file.ts';
import { reportTable } from '../../src/verdict/report_table.ts';
import { seededNormal } from '../world/seeded_random.ts';

const ring = { ringOuter: 10, ringInner: 7, height: 9, lean: 0, foot: 'single' } as const;
const at = [150, 300, 470, 660, 860, 1180, 1450];
const positions = (roll?: (k: number) => number): Position[] =>
  at.map((place, k) => ({
    id: `G${k + 1}`,
    kind: 'guide',
    at: place,
    guide: { ...ring, ...(roll && { roll: roll(k) }) },
  }));
const plan: Plan = {
  title: 'Two pieces',
  unit: 'mm',
  blank: { length: 2000, tipDiameter: 2, buttDiameter: 14, finish: 'dark' },
  positions: positions(),
  joints: [{ kind: 'spigot', at: 1000, length: 70, gap: 6 }],
  tolerance: { along: 1.5, roll: 2 },
};
const shoot: Shoot = {
  stage: 'rings',
  photos: ['1.jpg'],
  mat: {},
  rest: { kind: 'flat' },
  rollReference: 'guides',
};

/** The rod put together as measured: `twist` of the tip piece, `open` of the joint, each ring's own error in roll. */
const measured = (
  { twist = 0, open = 0, own = {} as Record<string, number>, zero = 0 },
  from: Plan = plan,
  more: Partial<MeasuredShoot> = {},
): MeasuredShoot => ({
  places: from.positions.map(({ id, at: place, guide }): MeasuredPlace => {
    const tip = place < 1000;
    return {
      along: { value: place + (tip ? 0 : open), u: 0.15 },
      apart: 0.1,
      roll: { value: wrapDegrees(zero + (guide?.roll ?? 0) + (tip ? twist : 0) + (own[id] ?? 0)), u: 0.3 },
      ringOuter: { value: 10, u: 0.1 },
      ringInner: { value: 7, u: 0.1 },
      height: { value: 9, u: 0.2 },
    };
  }),
  photos: [],
  scale: { along: 1, across: 1, u: 1e-4, measured: true },
  shown: Object.fromEntries(from.positions.map(({ id }) => [id, { photos: ['1.jpg'], bare: [], covered: [] }])),
  notes: [],
  ...more,
});

describe('a joint’s roll', () => {
  it('is told, and the joint is to be turned and no ring', () => {
    const report = judge(plan, shoot, measured({ twist: 4 }));
    expect(report.joints).toMatchObject([
      { joint: 1, at: 1000, roll: { value: expect.closeTo(4, 6) }, rollVerdict: 'off', rings: [5, 2] },
    ]);
    // by hand: readings 0.3, half of it common, and the usual scatter of 0.5 as one in six tells it (t = 2.57 for five)
    const scatter = Math.sqrt(0.25 / 6);
    const line = (n: number) => (2 * 0.3) ** 2 * (0.5 + 0.5 / n) + (2.57 * scatter) ** 2 / n;
    expect(report.joints![0]!.roll!.expanded).toBeCloseTo(Math.sqrt(line(5) + line(2)), 6);
    expect(report.verdict).toBe('fix');
    expect(answerOf(report)).toBe('Turn piece 1 in its joint.');
    // the common line is the tip piece's, so the butt piece's rings are those that are off
    expect(report.items.map(({ rollVerdict }) => rollVerdict).join(' ')).toBe('on on on on on off off');
    expect(report.items.slice(5)).toMatchObject([
      {
        turnedByJoint: 1,
        cause: 'All rings of piece 2 are turned alike: the joint is turned, not each of them.',
        advice: 'Turn piece 1 in its joint, and take new photos.',
      },
      { turnedByJoint: 1 },
    ]);
    expect(report.notes.join(' ')).toContain(
      'At the joint (1000 mm) piece 1 is turned 4 degrees clockwise, give or take 0.9, against piece 2, seen from the butt: turn piece 1 in its joint by 4 degrees counter-clockwise.',
    );
    expect(reportTable(plan, report)).not.toContain('Turn G');
    expect(parseReport(reportToText(report))).toMatchObject({ joints: [{ rollVerdict: 'off' }] });
  });

  it('is found beside planned rolls and across the half turn', () => {
    const spiral = { ...plan, positions: positions((k) => [180, 180, 180, 120, 60, 0, 0][k]!) };
    for (const zero of [0, 90, 178, -179]) {
      const [joint] = judge(spiral, shoot, measured({ twist: -5, zero }, spiral)).joints!;
      expect(joint).toMatchObject({ roll: { value: expect.closeTo(-5, 6) }, rollVerdict: 'off' });
    }
  });

  it('is in line, and a ring rolled by itself is told as that', () => {
    const report = judge(plan, shoot, measured({ own: { G3: 9 } }));
    expect(report.joints).toMatchObject([{ roll: { value: expect.closeTo(0, 6) }, rollVerdict: 'on' }]);
    expect(answerOf(report)).toBe('Turn one guide.');
    expect(report.items[2]).toMatchObject({ rollVerdict: 'off', advice: expect.stringContaining('Turn G3 9 degrees') });
    expect(report.items[2]).not.toHaveProperty('turnedByJoint');
    expect(report.notes.join(' ')).toContain('the pieces are in line');
  });

  it('both at once: the joint and the ring', () => {
    const report = judge(plan, shoot, measured({ twist: 6, own: { G3: -7 } }));
    expect(answerOf(report)).toBe('Turn one guide. Turn piece 1 in its joint.');
  });

  it('rests on one ring of each piece: nothing is settled where the one or the other may be rolled', () => {
    const few = { ...plan, positions: positions().filter(({ id }) => id === 'G2' || id === 'G6') };
    const report = judge(few, { ...shoot, rollReference: 'seat-card' }, measured({ twist: 3 }, few));
    expect(report.joints).toMatchObject([{ rollVerdict: 'unsure', rings: [1, 1] }]);
    // Student's factor for one degree of freedom
    expect(report.joints![0]!.roll!.expanded).toBeGreaterThan(12.7 * 0.5 * Math.SQRT2);
    expect(report.notes.join(' ')).toContain('told by 1 and 1 rings: not settled');
  });

  it('of a last piece without rings is told by the reel seat’s card, and not at all without it', () => {
    const bare = { ...plan, positions: positions().slice(0, 5) };
    const seat = judge(bare, { ...shoot, rollReference: 'seat-card' }, measured({ twist: 4 }, bare, { rollZero: 0.2 }));
    expect(seat.joints).toMatchObject([{ roll: { value: expect.closeTo(4, 6) }, rollVerdict: 'off', rings: [5, 0] }]);
    expect(answerOf(seat)).toBe('Turn piece 1 in its joint.');
    const report = judge(bare, shoot, measured({ twist: 4 }, bare));
    expect(report.joints![0]).toMatchObject({ rollVerdict: 'unsure' });
    expect(report.joints![0]).not.toHaveProperty('roll');
    expect(report.notes.join(' ')).toContain('no ring was found on piece 2');
    expect(report.verdict).toBe('ready');
  });

  it('leaves a tip-top that is turned with its piece as it is glued', () => {
    const tipTop = { ringOuter: 7, ringInner: 5, tubeLength: 12, tubeInner: 2 };
    const withTop = { ...plan, tipTop };
    const found = measured({ twist: 4 }, withTop, { tipTop: { sighting: 'found', roll: { value: 4, u: 0.4 } } });
    const report = judge(withTop, { ...shoot, rollReference: 'seat-card' }, found);
    expect(report.tipTop).toMatchObject({
      rollVerdict: 'off',
      turnedByJoint: 1,
      advice: expect.not.stringContaining('glue'),
    });
    expect(answerOf(report)).toBe('Turn piece 1 in its joint.');
    const alone = measured({}, withTop, { tipTop: { sighting: 'found', roll: { value: 9, u: 0.4 } } });
    expect(answerOf(judge(withTop, { ...shoot, rollReference: 'seat-card' }, alone))).toBe('Turn the tip-top.');
  });

  it('is not told of one piece by itself, which the report names', () => {
    const own = planOfPiece(plan, 2);
    const report = judge(own, { ...shoot, piece: 2 }, measured({}, own, { start: 0 }));
    expect(report).not.toHaveProperty('joints');
    expect(report.piece).toEqual({ number: 2, of: 2 });
    expect(report.items.map(({ id }) => id)).toEqual(['G6', 'G7']);
  });
});

describe('a joint lengthwise', () => {
  it('is said to stand open where all places beyond it lie further out', () => {
    const report = judge(plan, shoot, measured({ open: 3 }));
    expect(report.joints![0]!.open).toMatchObject({ value: expect.closeTo(3, 6) });
    expect(report.notes.join(' ')).toMatch(/pieces stand 3\.0 mm further apart than planned, give or take 0\.\d mm/);
    expect(judge(plan, shoot, measured({})).notes.join(' ')).not.toContain('apart than planned');
  });
});

describe('the doubt of what pieces have in common', () => {
  /** Share of made-up rods whose difference lies within its stated doubt. */
  function covered(counts: readonly [number, number], setting: number, reading: number, seed: number): number {
    const normal = seededNormal(seed);
    const rods = 1500;
    let within = 0;
    for (let rod = 0; rod < rods; rod++) {
      const twist = 3 * normal();
      const offsets = counts.flatMap((count, k) => {
        const common = Math.SQRT1_2 * reading * normal();
        return Array.from(
          { length: count },
          (): PlaceOffset => ({
            piece: k + 1,
            value: (k === 0 ? twist : 0) + common + Math.SQRT1_2 * reading * normal() + setting * normal(),
            u: reading,
          }),
        );
      });
      const { value, expanded } = new PieceOffsets(offsets, { usual: 0.5, ofItsOwn: 2 }).difference(1, 2)!;
      if (Math.abs(value - twist) <= expanded) within++;
    }
    return within / rods;
  }

  it.each([
    ['a usual rod', [7, 2], 0.5, 0.3],
    ['rings set more evenly', [7, 2], 0.2, 0.3],
    ['rings set by a worse eye', [5, 3], 1, 0.3],
    ['a three and a two', [3, 2], 0.5, 0.4],
    ['badly read rings', [6, 3], 0.5, 1],
  ] as const)('holds 95 in 100: %s', (_, counts, setting, reading) => {
    // 1500 rods: 95 % give or take three standard errors of 0.56 %
    expect(covered(counts, setting, reading, 11)).toBeGreaterThan(0.933);
  });
});
