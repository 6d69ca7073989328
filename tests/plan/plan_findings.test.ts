import { feetOf } from '../../src/plan/foot.ts';
import { describe, expect, it } from 'vitest';
import type { Finding } from '../../src/plan/findings/finding.ts';
import type { Fitting, Plan, Position, RingGuide } from '../../src/plan/plan.ts';
import { planFindings } from '../../src/plan/findings/plan_findings.ts';

const ring = (change: Partial<RingGuide> = {}): RingGuide => ({
  ringOuter: 8,
  ringInner: 5.8,
  height: 10,
  lean: 0,
  foot: 'single',
  ...change,
});
const guide = (id: string, at: number, change: Partial<RingGuide> = {}): Position => ({
  id,
  kind: 'guide',
  at,
  guide: ring(change),
});
const rod = (positions: Position[], fittings: Fitting[] = [], unit: 'mm' | 'in' = 'mm'): Plan => ({
  title: 'A rod',
  unit,
  blank: { length: 1400, tipDiameter: 2, buttDiameter: 12, finish: 'dark' },
  positions,
  tolerance: { along: 1.5, roll: 2 },
  ...(fittings.length > 0 && { fittings }),
});
const footed = { footLength: 10, reach: 2, footToward: 'tip' as const };
const rules = (findings: Finding[]) => findings.map((finding) => finding.rule);

describe('checks of a plan', () => {
  it('finds nothing against a plan in order', () => {
    const plan = rod(
      [
        { id: 'T', kind: 'tip-wrap', at: 10 },
        guide('G1', 100, footed),
        guide('G2', 210, footed),
        guide('G3', 330, { ...footed, ringOuter: 10 }),
        { id: 'K', kind: 'hook-keeper', at: 1100 },
      ],
      [{ kind: 'grip', from: 1150, to: 1400 }],
    );
    const bag = [
      { ringOuter: 8.1, count: 2 },
      { ringOuter: 10, count: 1 },
    ];
    expect(planFindings(plan, { bag })).toEqual([]);
  });

  it('counts the bag in all and by size', () => {
    const plan = rod([guide('G1', 100), guide('G2', 210), guide('G3', 330, { ringOuter: 10 })]);
    const short = planFindings(plan, { bag: [{ ringOuter: 8, count: 2 }] });
    expect(short).toMatchObject([
      { rule: 'bag', by: 1, text: 'The plan has 3 guides, the bag 2.' },
      { rule: 'bag', by: 1, items: ['G3'], text: 'Of rings 10.0 mm across the plan has 1, the bag 0.' },
    ]);
    const swapped = planFindings(plan, {
      bag: [
        { ringOuter: 8, count: 1 },
        { ringOuter: 10, count: 2 },
      ],
    });
    expect(swapped).toHaveLength(2);
    expect(swapped.every((finding) => finding.by === 1 && finding.cure.length > 10)).toBe(true);
  });

  it('finds a position not beyond the one before, and by how much', () => {
    const [finding] = planFindings(rod([guide('G1', 100), guide('G2', 210), guide('G3', 205)]));
    expect(finding).toMatchObject({ rule: 'order', weight: 'fault', items: ['G2', 'G3'], by: 5 });
  });

  it('finds a gap that shrinks toward the butt, in the unit of the plan', () => {
    const [finding] = planFindings(rod([guide('G1', 101.6), guide('G2', 228.6), guide('G3', 330.2)], [], 'in'), {
      display: 'in-fraction',
    });
    expect(finding).toMatchObject({ rule: 'gap-shrinks', weight: 'look', items: ['G2', 'G3'] });
    expect(finding!.by).toBeCloseTo(25.4, 9);
    expect(finding!.text).toBe('The gap from G2 to G3, 4 in, is 1 in shorter than the one before it.');
    // marking alone may shorten a gap by as much
    expect(planFindings(rod([guide('G1', 100), guide('G2', 200), guide('G3', 299.5)]))).toEqual([]);
  });

  it('finds ring sizes out of order and a ring inside the blank', () => {
    expect(planFindings(rod([guide('G1', 100, { ringOuter: 12, height: 12 }), guide('G2', 210)]))).toMatchObject([
      { rule: 'ring-sizes', items: ['G1', 'G2'], by: 4 },
    ]);
    const low = planFindings(rod([guide('G1', 100, { height: 3 })]));
    expect(low).toMatchObject([{ rule: 'ring-low', items: ['G1'], weight: 'fault' }]);
    expect(low[0]!.by).toBeCloseTo(1, 9);
  });

  it('finds feet that overlap, once for a pair, and by how much', () => {
    // feet toward the tip: G2 from 98 to 108, double G1 toward the butt from 92 to 102
    const plan = rod([guide('G1', 90, { ...footed, foot: 'double' }), guide('G2', 110, footed)]);
    const found = planFindings(plan).filter((finding) => finding.rule === 'overlap');
    expect(found).toHaveLength(1);
    expect(found[0]).toMatchObject({ items: ['G1', 'G2'], weight: 'fault' });
    // the wrap of G2 starts 4 mm before its foot and that of G1 ends 4 mm behind its own, but the feet are the fault
    expect(found[0]!.by).toBeCloseTo(4, 9);
  });

  it('finds wraps alone overlapping as something to look at', () => {
    const plan = rod([guide('G1', 90, { ...footed, foot: 'double' }), guide('G2', 120, footed)]);
    const found = planFindings(plan).filter((finding) => finding.rule === 'overlap');
    // wraps: to 106 and from 104
    expect(found).toMatchObject([{ weight: 'look', items: ['G1', 'G2'] }]);
    expect(found[0]!.by).toBeCloseTo(2, 9);
  });

  it.each<[Fitting['kind'], string]>([
    ['ferrule', 'the ferrule'],
    ['winding-check', 'the winding check'],
    ['grip', 'the grip'],
  ])('finds a foot on a %s', (kind, name) => {
    const found = planFindings(rod([guide('G1', 700, footed)], [{ kind, from: 695, to: 760 }]));
    expect(found).toMatchObject([{ rule: 'overlap', items: ['G1'], weight: 'fault' }]);
    expect(found[0]!.text).toContain(name);
    expect(found[0]!.by).toBeCloseTo(3, 9);
  });

  it('finds a mark inside a fitting, and a hook keeper under a guide', () => {
    const inside = planFindings(rod([guide('G1', 700)], [{ kind: 'grip', from: 650, to: 760 }]));
    expect(inside).toMatchObject([{ rule: 'overlap', text: 'The mark of G1 lies inside the grip.' }]);
    const keeper = planFindings(rod([guide('G1', 700, footed), { id: 'K', kind: 'hook-keeper', at: 690 }]));
    expect(keeper).toMatchObject([{ rule: 'overlap', items: ['G1', 'K'], weight: 'fault' }]);
  });

  it('finds a guide within a wrap of the ferrule', () => {
    const found = planFindings(
      rod([guide('G1', 680, { ...footed, footToward: 'butt' })], [{ kind: 'ferrule', from: 700, to: 740 }]),
    );
    // the wrap ends 4 mm behind the foot at 696, so 4 mm are left of a half inch
    expect(rules(found)).toEqual(['near-ferrule']);
    expect(found[0]!.by).toBeCloseTo(12.7 - 4, 9);
  });

  it('finds a foot off the end of the blank', () => {
    expect(planFindings(rod([guide('G1', 5, footed)]))).toMatchObject([
      { rule: 'off-blank', items: ['G1'], weight: 'fault' },
      { rule: 'off-blank', items: ['G1'] },
    ]);
  });
});

describe('a single foot', () => {
  it('lies toward the butt of its ring unless the plan says otherwise', () => {
    const at = (footToward?: 'tip' | 'butt') =>
      feetOf({
        id: 'G1',
        kind: 'guide',
        at: 100,
        guide: {
          ringOuter: 6,
          ringInner: 4.3,
          height: 6.5,
          lean: 0,
          foot: 'single',
          footLength: 10,
          reach: 2,
          ...(footToward && { footToward }),
        },
      });
    expect(at()).toEqual([{ from: 102, to: 112 }]);
    expect(at('tip')).toEqual([{ from: 88, to: 98 }]);
  });

  it('takes no gap before the first guide of a section for one between guides', () => {
    const section = { ...rod([guide('G5', 760), guide('G6', 930)]), section: { startsAt: 700 } };
    expect(planFindings({ ...section, blank: { ...section.blank, length: 700 } })).toEqual([]);
  });

  it('lets a ferrule wrap lie on its own ferrule', () => {
    const ferrule: Fitting = { kind: 'ferrule', from: 690, to: 720 };
    const wrap = (at: number): Position => ({ id: 'F', kind: 'ferrule-wrap', at });
    for (const at of [680, 690, 700, 720, 740])
      expect(planFindings(rod([wrap(at)], [ferrule])), String(at)).toEqual([]);
  });

  it('says that guides crowd at the tip, and the likeliest slip', () => {
    const places = [3.6, 7.7, 12.4, 17.5, 23.3, 29.8, 37.3];
    const crowded = (positions: Position[]) => planFindings(rod(positions)).find(({ rule }) => rule === 'crowded');
    expect(crowded(places.map((at, k) => guide(`G${k}`, at)))).toMatchObject({
      weight: 'fault',
      text: 'All 7 guides stand in the first 37.3 mm of a blank 1400.0 mm long.',
      cure: 'The likeliest slip is inches read as millimetres: check the list.',
    });
    const gaps = [92, 104, 118, 133, 149];
    expect(crowded(gaps.map((at, k) => guide(`G${k}`, at)))).toMatchObject({
      cure: 'The likeliest slip is gaps read as distances: check the list.',
    });
    expect(crowded([guide('G1', 92), guide('G2', 196), guide('G3', 314)])).toBeUndefined();
  });

  it('says that guides stand behind the grip, and rings larger toward the tip, once each', () => {
    const grip: Fitting = { kind: 'grip', from: 1100, to: 1400 };
    const behind = planFindings(
      rod([guide('G1', 800), guide('G2', 1000), guide('G3', 1150), guide('G4', 1300)], [grip]),
    );
    expect(behind.find(({ rule }) => rule === 'behind-grip')).toMatchObject({
      items: ['G3', 'G4'],
      by: 200,
      cure: expect.stringContaining('counted from the butt'),
    });
    const sizes = [20, 16, 10, 8, 8];
    const down = planFindings(
      rod(sizes.map((ringOuter, k) => guide(`G${k + 1}`, 100 + 120 * k, { ringOuter, height: 15 }))),
    );
    expect(rules(down)).toEqual(['reversed']);
    expect(down[0]).toMatchObject({
      text: 'The rings get larger toward the tip, from 8.0 mm at G5 to 20.0 mm at G1.',
      cure: expect.stringContaining('a list reversed'),
    });
  });
});
