import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/plan/input_error.ts';
import type { Guide, Plan } from '../../src/plan/plan.ts';
import { parsePlan, planToFile } from '../../src/plan/files/plan_file.ts';

const ring = { ringOuter: 8, ringInner: 5.8, height: 10, lean: 3, foot: 'single' };
const file = () => ({
  schema: 'prewrap.plan/1',
  title: 'A rod',
  unit: 'mm' as string,
  datum: 'blank-tip',
  blank: { length: 1418 as unknown, tipDiameter: 1.7 as unknown, buttDiameter: 11.4, finish: 'dark' },
  positions: [
    { id: 'T', kind: 'tip-wrap', at: 9 },
    { id: 'G1', kind: 'guide', at: 92, guide: { ...ring } },
    { id: 'G2', kind: 'guide', at: 196, guide: { ...ring } },
    { id: 'G3', kind: 'guide', at: 314, guide: { ...ring } },
  ] as Record<string, unknown>[],
  tolerance: { along: 1.5, roll: 2 } as Record<string, unknown> | undefined,
});

const withChange = (change: (value: ReturnType<typeof file>) => void) => {
  const value = file();
  change(value);
  return value;
};

const refusal = (input: unknown): string => {
  try {
    parsePlan(input, 'plan.json');
  } catch (error) {
    expect(error).toBeInstanceOf(InputError);
    return (error as Error).message;
  }
  return 'accepted';
};

/** The same value with every number taken to 1e-7. */
const near = (value: unknown): unknown =>
  typeof value === 'number'
    ? expect.closeTo(value, 7)
    : Array.isArray(value)
      ? value.map(near)
      : typeof value === 'object' && value !== null
        ? Object.fromEntries(Object.entries(value).map(([key, v]) => [key, near(v)]))
        : value;

describe('plan file', () => {
  it('becomes a plan in millimetres', () => {
    const plan = parsePlan(JSON.stringify(file()));
    expect(plan.blank.length).toBe(1418);
    expect(plan.positions.map((position) => position.at)).toEqual([9, 92, 196, 314]);
    expect(plan.positions[1]!.guide).toEqual(ring);
  });

  it('reads inches as numbers and as text, everything length-like in the plan unit', () => {
    const plan = parsePlan(
      withChange((value) => {
        value.unit = 'in';
        value.blank = { length: '55 13/16', tipDiameter: '1.7 mm', buttDiameter: 0.45, finish: 'dark' };
        value.positions = [
          { id: 'T', kind: 'tip-wrap', at: '1/2' },
          {
            id: 'G1',
            kind: 'guide',
            at: '5 3/8',
            guide: { ...ring, ringOuter: 0.25, ringInner: '3/16', height: '1/4"' },
          },
        ];
        value.tolerance = { along: '1/16', roll: 2 };
      }),
    );
    expect(plan.blank.length).toBeCloseTo(1417.6375, 9);
    expect(plan.blank.tipDiameter).toBe(1.7);
    expect(plan.positions[0]!.at).toBe(12.7);
    expect(plan.positions[1]!.at).toBeCloseTo(136.525, 9);
    expect(plan.positions[1]!.guide).toMatchObject({
      ringOuter: expect.closeTo(6.35, 9),
      ringInner: expect.closeTo(4.7625, 9),
      height: expect.closeTo(6.35, 9),
      lean: 3,
    });
    expect(plan.tolerance).toEqual({ along: 1.5875, roll: 2 });
  });

  it('takes the default tolerance when none is given, in an inch plan too', () => {
    expect(parsePlan(withChange((value) => delete value.tolerance)).tolerance).toEqual({ along: 1.5, roll: 2 });
  });

  it('sorts positions from tip to butt whichever way round they are listed', () => {
    const plan = parsePlan(withChange((value) => value.positions.reverse()));
    expect(plan.positions.map((position) => position.id)).toEqual(['T', 'G1', 'G2', 'G3']);
  });

  const snake = { type: 'snake', length: 14.1, height: 4.5, wire: 0.79 };
  const tipTop = { ringOuter: 5, ringInner: 3.6, tubeLength: 6, tubeInner: 1.5 };

  it('takes snake guides, planned rolls and a tip-top, in inches too, and goes back', () => {
    const written = withChange((value) => {
      value.positions[1]!.guide = { ...snake, roll: -12 };
      value.positions[2]!.guide = { ...ring, type: 'ring', roll: 30 };
      value.datum = 'tube-end';
      Object.assign(value, { tipTop: { ...tipTop, roll: 4, home: 0.8 } });
    });
    const plan = parsePlan(written);
    expect(plan).toMatchObject({ datum: 'tube-end', tipTop: { ...tipTop, roll: 4, home: 0.8 } });
    expect(plan.positions[1]!.guide).toEqual({ ...snake, roll: -12 });
    expect(planToFile(plan)).toEqual(written);
    const inches = planToFile({ ...plan, unit: 'in' });
    expect(inches).toMatchObject({ tipTop: { tubeLength: expect.closeTo(6 / 25.4, 8), roll: 4 } });
    expect(parsePlan(inches)).toEqual({ ...(near(plan) as Plan), unit: 'in' });
  });

  it('says nothing of a datum that is the tip of the blank, and takes a plan without places', () => {
    const plan = parsePlan(withChange((value) => (value.positions = [])));
    expect(plan).not.toHaveProperty('datum');
    expect(plan.positions).toEqual([]);
    expect(planToFile(plan)).toMatchObject({ datum: 'blank-tip' });
  });

  it.each<[string, (value: ReturnType<typeof file>) => void, string]>(
    [
      ['a type nobody knows', { ...snake, type: 'coil' }, 'type: must be "ring" or "snake"'],
      ['a snake with a ring', { ...snake, ringOuter: 8 }, 'guide, ringOuter: belongs to a guide with a ring'],
      ['a snake without its length', { ...snake, length: undefined }, 'guide, length: is missing'],
      ['a wire as thick as the guide is high', { ...snake, height: 1.4 }, 'guide, height: leaves no room'],
      ['a roll beyond a half turn', { ...ring, roll: 181 }, 'guide, roll: must be degrees'],
    ].map(([name, guide, why]) => [name as string, (v) => (v.positions[3]!.guide = guide), why as string]),
  )('refuses %s', (_name, change, why) => {
    expect(refusal(withChange(change))).toContain(why);
  });

  it.each<[string, object, string]>([
    [
      'a datum on a tip-top that is not there',
      { datum: 'tip-top-ring' },
      'datum: "tip-top-ring" is a place on the tip-top',
    ],
    ['an unknown datum', { datum: 'butt' }, 'datum: must be "blank-tip" or'],
    ['a tip-top without a tube', { tipTop: { ...tipTop, tubeLength: undefined } }, 'tipTop, tubeLength: is missing'],
    ['a bore wider than the ring', { tipTop: { ...tipTop, ringInner: 6 } }, 'tipTop, ringInner: the inner diameter'],
    [
      'a blank that does not reach the tube',
      { tipTop: { ...tipTop, home: 7 } },
      'tipTop, home: is longer than the tube',
    ],
    [
      'a tip-top on a butt section',
      { tipTop, section: { startsAt: 20 } },
      'tipTop: belongs to the section that starts',
    ],
    ['a tip-top spelt otherwise', { tiptop: tipTop }, 'tiptop: is not known; write "tipTop"'],
  ])('refuses %s', (_name, more, why) => {
    expect(refusal({ ...file(), ...more })).toContain(why);
  });

  it.each<[string, (value: ReturnType<typeof file>) => void, string]>([
    ['a missing distance', (v) => delete v.positions[3]!.at, 'positions[3] "G3", at: is missing'],
    ['a negative one', (v) => (v.positions[3]!.at = -4), 'positions[3] "G3", at: -4 mm is outside'],
    ['NaN', (v) => (v.positions[3]!.at = Number.NaN), 'positions[3] "G3", at: must be a length'],
    ['a huge one', (v) => (v.positions[3]!.at = 1e300), 'positions[3] "G3", at: '],
    ['null', (v) => (v.positions[3]!.at = null), 'positions[3] "G3", at: must be a length'],
    ['words', (v) => (v.positions[3]!.at = 'a foot'), 'positions[3] "G3", at: "a foot" is not a length'],
    ['an improper fraction', (v) => (v.positions[3]!.at = '5 9/8'), 'positions[3] "G3", at: "5 9/8"'],
    ['a place off the blank', (v) => (v.positions[3]!.at = 1419), '"G3", at: 1419.0 mm is off the blank'],
    [
      'a guide without a ring',
      (v) => delete v.positions[3]!.guide,
      'positions[3] "G3", guide: the ring is not described',
    ],
    ['a ring on a wrap', (v) => (v.positions[0]!.guide = ring), 'positions[0] "T", guide: a tip-wrap has no ring'],
    [
      'inner not below outer',
      (v) => (v.positions[3]!.guide = { ...ring, ringInner: 8 }),
      '"G3", guide, ringInner: the inner diameter',
    ],
    ['an unknown kind', (v) => (v.positions[3]!.kind = 'ring'), 'positions[3] "G3", kind: must be "guide" or'],
    [
      'a repeated id',
      (v) => (v.positions[3]!.id = 'G1'),
      'positions[3] "G1", id: the same name stands at positions[1]',
    ],
    ['two guides in one place', (v) => (v.positions[3]!.at = 196), '"G3", at: "G2" stands at 196.0 mm too'],
    ['guides out of order', (v) => (v.positions[3]!.at = 180), '"G3", at: 180.0 mm is out of order after "G2"'],
    ['positions left out', (v) => delete (v as { positions?: unknown }).positions, 'positions: is missing'],
    ['positions that are no list', (v) => (v.positions = {} as never), 'positions: must be a list'],
    ['another version', (v) => (v.schema = 'prewrap.plan/2'), 'schema: "prewrap.plan/2" is another version'],
    ['another kind of file', (v) => (v.schema = 'prewrap.shoot/1'), '"prewrap.plan/1" is needed here'],
    ['an unknown unit', (v) => (v.unit = 'cm'), 'unit: must be "mm" or "in"'],
    ['millimetres said to be inches', (v) => (v.unit = 'in'), 'blank, length: 1418 in is outside'],
    ['inches said to be millimetres', (v) => (v.blank.length = 56), 'blank, length: 56 mm is outside'],
    ['a tip thicker than the butt', (v) => (v.blank.tipDiameter = 12), 'blank, tipDiameter: the tip is thicker'],
    [
      'a misspelt optional name',
      (v) => ((v as never as Record<string, unknown>).tolerence = {}),
      'tolerence: is not known; write "tolerance"',
    ],
    ['a tolerance of nothing', (v) => (v.tolerance!.along = 0), 'tolerance, along: 0 mm is outside'],
    ['another datum', (v) => (v.datum = 'butt'), 'datum: must be "blank-tip"'],
  ])('refuses %s, naming the place', (_, change, words) => {
    const message = refusal(withChange(change));
    expect(message).toContain('plan.json');
    expect(message).toContain(words);
    expect(message.split('\n')).toHaveLength(1);
  });

  it('names line and column where the text is cut short', () => {
    const text = JSON.stringify(file(), null, 1);
    expect(refusal(text.slice(0, 120))).toMatch(/^plan\.json, line \d+, column \d+: the file breaks off here/);
  });

  it('counts a section from the rod tip, and keeps its positions on it', () => {
    const section = (at: number) =>
      withChange((value) => {
        Object.assign(value, { section: { startsAt: 700 }, fittings: [{ kind: 'ferrule', from: 700, to: 740 }] });
        value.blank.length = 720;
        value.positions = [{ id: 'F', kind: 'ferrule-wrap', at }];
      });
    expect(parsePlan(section(752)).section).toEqual({ startsAt: 700 });
    expect(refusal(section(690))).toContain('is off the section, which runs from 700.0 mm to 1420.0 mm');
    expect(refusal(section(1430))).toContain('is off the section');
  });

  it('survives the way to a file and back', () => {
    const inMillimetres = (max: number, min = 0) => fc.double({ min, max, noNaN: true });
    const guide: fc.Arbitrary<Guide> = fc
      .record(
        {
          ringInner: inMillimetres(30, 1),
          wider: inMillimetres(20, 0.1),
          height: inMillimetres(100),
          lean: inMillimetres(40, -40),
          foot: fc.constantFrom('single' as const, 'double' as const),
          footLength: inMillimetres(40, 2),
          reach: inMillimetres(30, -10),
          footToward: fc.constantFrom('tip' as const, 'butt' as const),
        },
        { requiredKeys: ['ringInner', 'wider', 'height', 'lean', 'foot'] },
      )
      .map(({ wider, ...rest }) => ({ ringOuter: rest.ringInner + wider, ...rest }));
    const plan: fc.Arbitrary<Plan> = fc
      .record(
        {
          title: fc.constant('Any rod'),
          unit: fc.constantFrom('mm' as const, 'in' as const),
          guides: fc.array(fc.tuple(inMillimetres(100, 1), guide), { minLength: 1, maxLength: 12 }),
          tolerance: fc.record({ along: inMillimetres(10, 0.2), roll: inMillimetres(20, 0.2) }),
          markedBy: fc.constantFrom('centre' as const, 'tip-edge' as const, 'butt-edge' as const),
          section: fc.record({ startsAt: inMillimetres(500) }),
          finish: fc.constantFrom('dark' as const, 'light' as const),
        },
        { requiredKeys: ['title', 'unit', 'guides', 'tolerance', 'finish'] },
      )
      .map(({ guides, finish, ...rest }) => {
        let at = rest.section?.startsAt ?? 0;
        const positions = guides.map(([gap, g], k) => {
          at += gap;
          return { id: `G${k + 1}`, kind: 'guide' as const, at, guide: g };
        });
        return { ...rest, positions, blank: { length: 1500, tipDiameter: 1.8, buttDiameter: 12, finish } };
      });
    fc.assert(
      fc.property(plan, (before) => {
        const after = parsePlan(JSON.stringify(planToFile(before)));
        expect(after).toEqual(near(before));
        // once in a file, a plan stays what it is
        expect(planToFile(after)).toEqual(planToFile(parsePlan(planToFile(after))));
      }),
    );
  });
});
