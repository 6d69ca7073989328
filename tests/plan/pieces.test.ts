import { readFile } from 'node:fs/promises';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parsePlan, planToFile } from '../../src/plan/files/plan_file.ts';
import { parseShoot, shootToFile } from '../../src/plan/files/shoot_file.ts';
import { planFindings } from '../../src/plan/findings/plan_findings.ts';
import { InputError } from '../../src/plan/input_error.ts';
import { layOut } from '../../src/plan/layouts/layout.ts';
import { parseLayout } from '../../src/plan/layouts/layout_file.ts';
import { type MarkList, markCells, markList, markLists } from '../../src/plan/layouts/mark_list.ts';
import { jointStretch } from '../../src/plan/pieces/joint.ts';
import { piecesOf, planOfPiece, planOnMat } from '../../src/plan/pieces/pieces.ts';
import type { Joint, Plan, Position } from '../../src/plan/plan.ts';

const guide = (id: string, at: number, foot: 'single' | 'double' = 'single'): Position => ({
  id,
  kind: 'guide',
  at,
  guide: { ringOuter: 10, ringInner: 7, height: 9, lean: 0, foot, footLength: 10, reach: 4 },
});

const planWith = (joints: Joint[], positions: Position[] = [], more: Partial<Plan> = {}): Plan => ({
  title: 'A rod in pieces',
  unit: 'mm',
  blank: { length: 2000, tipDiameter: 2, buttDiameter: 14, finish: 'dark' },
  joints,
  positions,
  tolerance: { along: 1.5, roll: 2 },
  ...more,
});

describe('where pieces begin and end', () => {
  it.each<[string, Joint, { tip: [number, number]; butt: [number, number]; ends: string[] }]>([
    [
      'a spigot in the butt piece, 6 mm of it showing when new',
      { kind: 'spigot', at: 1000, length: 70, gap: 6 },
      { tip: [0, 1000], butt: [936, 2000], ends: ['tip', 'opening', 'spigot', 'butt'] },
    ],
    [
      'a spigot in the tip piece',
      { kind: 'spigot', at: 1000, length: 70, gap: 6, inner: 'tip' },
      { tip: [0, 1070], butt: [1006, 2000], ends: ['tip', 'spigot', 'opening', 'butt'] },
    ],
    [
      'the tip piece over the butt piece',
      { kind: 'sleeve', at: 1000, length: 80 },
      { tip: [0, 1000], butt: [920, 2000], ends: ['tip', 'opening', 'end that goes in', 'butt'] },
    ],
    [
      'the tip piece into the butt piece',
      { kind: 'sleeve', at: 1000, length: 80, inner: 'tip' },
      { tip: [0, 1080], butt: [1000, 2000], ends: ['tip', 'end that goes in', 'opening', 'butt'] },
    ],
  ])('%s', (_, joint, { tip, butt, ends }) => {
    const [first, second] = piecesOf(planWith([joint]));
    expect([first!.from, first!.to]).toEqual(tip);
    expect([second!.from, second!.to]).toEqual(butt);
    expect([first!.tipSide, first!.buttSide, second!.tipSide, second!.buttSide]).toEqual(ends);
    // what lies inside of something else is counted once: lengths less overlap, plus the gap, are the rod put together
    const overlap = joint.length - (joint.gap ?? 0);
    expect(tip[1] - tip[0] + butt[1] - butt[0] - overlap).toBe(2000);
  });

  it('gives a piece its own plan: places on it, its length with the spigot, its end of the joint', () => {
    const plan = planWith(
      [{ kind: 'spigot', at: 1000, length: 70, gap: 6 }],
      [guide('G1', 400), guide('G2', 940), guide('G3', 1200)],
      { fittings: [{ kind: 'grip', from: 1600, to: 2000 }] },
    );
    const butt = planOfPiece(plan, 2);
    expect(butt).toMatchObject({
      title: 'A rod in pieces, piece 2 of 2',
      blank: { length: 1064, tipDiameter: expect.closeTo(7.616), buttDiameter: 14 },
      section: { startsAt: 936, piece: 2, of: 2 },
      positions: [{ id: 'G3', at: 1200 }],
      fittings: [{ kind: 'grip' }],
    });
    expect(planOfPiece(plan, 1)).not.toHaveProperty('fittings');
    expect(planOfPiece(plan, 1).positions.map(({ id }) => id)).toEqual(['G1', 'G2']);
    // read back from its file it is the same piece
    expect({ ...parsePlan(planToFile(butt)), blank: butt.blank }).toEqual(butt);
    expect(piecesOf(butt)).toEqual([piecesOf(plan)[1]]);
    expect(markList(butt).rows[0]).toMatchObject({ distance: 264, toward: 'butt' });
    expect(markCells(markList(butt))[0]).toContain('from the spigot’s end (mm)');
  });

  it('counts from the tip-top on the tip piece, and the same distances on the others', () => {
    const tipTop = { ringOuter: 7, ringInner: 5, tubeLength: 12, tubeInner: 2, home: 1 };
    const plan = planWith([{ kind: 'sleeve', at: 1000, length: 80 }], [guide('G1', 400), guide('G2', 1300)], {
      tipTop,
      datum: 'tube-end',
    });
    const [tip, butt] = [planOfPiece(plan, 1), planOfPiece(plan, 2)];
    // the tube's end lies 11 mm from the blank's own tip
    expect(tip).toMatchObject({ datum: 'tube-end', tipTop, blank: { length: 1011 } });
    expect(butt).toMatchObject({ section: { startsAt: 920 }, blank: { length: 1989 - 920 } });
    expect(butt).not.toHaveProperty('datum');
    expect(markLists(plan).map(({ rows }) => rows[0]!.distance)).toEqual([400, 380]);
  });
});

const millimetres = (least: number, most: number) => fc.integer({ min: least * 10, max: most * 10 }).map((n) => n / 10);

/** A rod of two to five pieces with places anywhere but in a gap. */
const anyRod = fc
  .record({
    spacing: fc.array(millimetres(260, 700), { minLength: 2, maxLength: 5 }),
    joints: fc.array(
      fc.record({
        kind: fc.constantFrom('spigot' as const, 'sleeve' as const),
        length: millimetres(20, 70),
        gap: millimetres(0, 12),
        inner: fc.option(fc.constantFrom('tip' as const, 'butt' as const), { nil: undefined }),
      }),
      { minLength: 4, maxLength: 4 },
    ),
    places: fc.array(millimetres(1, 1000), { minLength: 1, maxLength: 30 }),
  })
  .map(({ spacing, joints, places }) => {
    let at = 0;
    const set = joints.slice(0, spacing.length - 1).map(({ kind, length, gap, inner }, k): Joint => {
      at += spacing[k]!;
      return { kind, at, length, ...(kind === 'spigot' && { gap }), ...(inner && { inner }) };
    });
    const length = at + spacing.at(-1)!;
    const open = (place: number) => set.every((joint) => !(place > joint.at && place < joint.at + (joint.gap ?? 0)));
    const positions = [...new Set(places.map((share) => (share * length) / 1001))]
      .filter(open)
      .toSorted((a, b) => a - b)
      .map((place, k) => guide(`G${k + 1}`, place));
    return planWith(set, positions, { blank: { length, tipDiameter: 2, buttDiameter: 14, finish: 'dark' } });
  });

/** Places read off a list again: its zero and the tape. */
const readBack = (list: MarkList, plan: Plan) =>
  list.rows.map(({ id, distance, toward }) => {
    const zero =
      list.datum.from === 'piece' || list.datum.from === 'ferrule'
        ? list.datum.at
        : list.datum.from === 'butt'
          ? plan.blank.length
          : 0;
    return { id, at: zero + (toward === 'butt' ? distance : -distance) };
  });

describe('splitting and joining', () => {
  it('puts every place on exactly one piece, within what shows of it, and gives it back from either end', () => {
    fc.assert(
      fc.property(anyRod, fc.constantFrom('tip' as const, 'butt' as const), (plan, from) => {
        const pieces = piecesOf(plan);
        const own = pieces.map(({ number }) => planOfPiece(plan, number));
        expect(own.flatMap(({ positions }) => positions)).toEqual(plan.positions);
        for (const [k, { positions }] of own.entries())
          for (const { at } of positions) {
            expect(at).toBeGreaterThanOrEqual(pieces[k]!.outside.from);
            expect(at).toBeLessThanOrEqual(pieces[k]!.outside.to);
          }
        const joined = markLists(plan, { from }).flatMap((list) => readBack(list, plan));
        expect(joined.map(({ id }) => id)).toEqual(plan.positions.map(({ id }) => id));
        for (const [k, { at }] of joined.entries()) expect(at).toBeCloseTo(plan.positions[k]!.at, 9);
      }),
    );
  });

  it('makes pieces that are as long together as the rod and what lies inside, and files that read back', () => {
    fc.assert(
      fc.property(anyRod, (plan) => {
        const pieces = piecesOf(plan);
        const inside = plan.joints!.reduce((sum, { length, gap = 0 }) => sum + length - gap, 0);
        const ends = pieces.reduce((sum, { from, to }) => sum + to - from, 0);
        expect(ends - inside).toBeCloseTo(plan.blank.length, 6);
        for (const { number } of pieces) {
          const own = planOfPiece(plan, number);
          const again = parsePlan(planToFile(own));
          expect(again.positions.map(({ id }) => id)).toEqual(own.positions.map(({ id }) => id));
          expect(piecesOf(again)[0]!.outside.from).toBeCloseTo(pieces[number - 1]!.outside.from, 6);
          expect(piecesOf(again)[0]!.outside.to).toBeCloseTo(pieces[number - 1]!.outside.to, 6);
        }
      }),
      { numRuns: 40 },
    );
  });
});

describe('guides and joints', () => {
  const spigot: Joint = { kind: 'spigot', at: 1000, length: 70, gap: 6 };
  const found = (joint: Joint, position: Position, more: Partial<Plan> = {}) =>
    planFindings(planWith([joint], [position], more)).filter(
      ({ rule }) => rule === 'on-joint' || rule === 'near-joint',
    );

  // foot from 4 to 14 mm toward the butt of the ring, its wrap 4 mm further
  it.each<[string, Joint, Position, object[]]>([
    [
      'reaches over the opening: 990 + 18 - 1000',
      spigot,
      guide('G5', 990),
      [
        {
          rule: 'on-joint',
          weight: 'fault',
          items: ['G5'],
          by: 8,
          text: 'G5 would reach 8.0 mm over the end of its piece at the joint.',
        },
      ],
    ],
    [
      'reaches back over the shoulder: 1006 - (1015 - 18)',
      spigot,
      guide('G6', 1015, 'double'),
      [{ rule: 'on-joint', weight: 'fault', by: 9, cure: 'Move it 21.7 mm or more toward the butt.' }],
    ],
    [
      'stands where the spigot lies inside, from 936 mm: to 968',
      spigot,
      guide('G5', 950),
      [
        {
          rule: 'on-joint',
          weight: 'look',
          by: 32,
          text: 'G5 stands on the joint, where one piece lies inside the other over 70.0 mm.',
        },
      ],
    ],
    ['keeps clear of it: to 936', spigot, guide('G5', 918), []],
    [
      'leaves no room for the wrap at the shoulder: 1010 - 1006',
      spigot,
      guide('G6', 1010),
      [
        {
          rule: 'near-joint',
          weight: 'look',
          by: expect.closeTo(12.7 - 4),
          text: "G6 leaves 4.0 mm to the end of its piece at the joint, where the joint's own wrap takes 12.7 mm.",
        },
      ],
    ],
    ['leaves it', spigot, guide('G6', 1018.7), []],
    [
      'of a sleeve, on the tip piece’s outside',
      { kind: 'sleeve', at: 1000, length: 80 },
      guide('G5', 930),
      [{ rule: 'on-joint', weight: 'look', by: 28 }],
    ],
    [
      'over a joint into the butt piece: its outside begins at 1000, the other reaches to 1080',
      { kind: 'sleeve', at: 1000, length: 80, inner: 'tip' },
      guide('G6', 1060),
      [{ rule: 'on-joint', weight: 'look', by: 20 }],
    ],
    [
      'in the way of an opening that comes 15 mm nearer: 1010 - 1000 - 15',
      { kind: 'sleeve', at: 1000, length: 80, play: 15 },
      guide('G6', 1010),
      [
        {
          rule: 'near-joint',
          weight: 'fault',
          by: 5,
          text: 'G6 leaves 10.0 mm to the opening at the joint, which may come 15.0 mm nearer as the joint wears, and would stop there.',
          cure: 'Move it 5.0 mm or more toward the butt.',
        },
      ],
    ],
    ['just clear of it', { kind: 'sleeve', at: 1000, length: 80, play: 15 }, guide('G6', 1015), []],
    [
      'on the tip piece, where that goes in: 1000 - (970 + 18) - 15',
      { kind: 'sleeve', at: 1000, length: 80, inner: 'tip', play: 15 },
      guide('G5', 970),
      [{ rule: 'near-joint', weight: 'fault', by: 3, cure: 'Move it 3.0 mm or more toward the tip.' }],
    ],
    ['’s neighbour, a wrap begun at the edge itself', spigot, { id: 'F', kind: 'ferrule-wrap', at: 1000 }, []],
  ])('a guide %s', (_, joint, position, findings) => {
    expect(found(joint, position)).toMatchObject(findings);
    expect(found(joint, position)).toHaveLength(findings.length);
  });

  it('says what a worn sleeve moves, where that is more than counts as good enough', () => {
    const worn = (play: number) =>
      planFindings(
        planWith([{ kind: 'sleeve', at: 1000, length: 80, play }], [guide('G1', 400), guide('G2', 1400)]),
      ).filter(({ rule }) => rule === 'joint-wear');
    expect(worn(5)).toMatchObject([
      {
        items: ['G2'],
        by: 5,
        text: 'As the joint wears, what lies beyond it may come up to 5.0 mm nearer the tip, more than the 1.5 mm that count as good enough.',
      },
    ]);
    expect(worn(1)).toEqual([]);
  });

  it('says so where the grip lies across a joint', () => {
    expect(found(spigot, guide('G1', 300), { fittings: [{ kind: 'grip', from: 980, to: 1400 }] })).toMatchObject([
      { rule: 'on-joint', weight: 'fault', by: 26, text: expect.stringContaining('could not be taken apart') },
    ]);
  });

  it('finds the same on the plan of the piece by itself', () => {
    const plan = planWith([spigot], [guide('G5', 990), guide('G6', 1010)]);
    const own = [1, 2].flatMap((number) => planFindings(planOfPiece(plan, number)));
    expect(own.map(({ rule, items }) => [rule, items[0]])).toEqual([
      ['on-joint', 'G5'],
      ['near-joint', 'G6'],
    ]);
  });
});

describe('files of rods in pieces', () => {
  const file = planToFile(planWith([{ kind: 'spigot', at: 1000, length: 70, gap: 6 }], [guide('G1', 400)]));
  const refused = (change: object) => () => parsePlan({ ...file, ...change }, 'plan.json');

  it('reads joints in inches and writes them back', () => {
    const plan = parsePlan({
      ...file,
      unit: 'in',
      blank: { length: '80', tipDiameter: 0.08, buttDiameter: 0.55, finish: 'dark' },
      joints: [{ kind: 'sleeve', at: '40 1/2', length: 3, play: '1/4' }],
      positions: [],
      tolerance: { along: 0.06, roll: 2 },
    });
    const read = { kind: 'sleeve', at: 1028.7, length: expect.closeTo(76.2, 9), play: expect.closeTo(6.35, 9) };
    expect(plan.joints).toEqual([read]);
    expect(parsePlan(planToFile(plan)).joints).toEqual([read]);
  });

  it.each([
    [
      { joints: [{ kind: 'spigot', at: 1950, length: 40 }] },
      'joints[0], at: 1950.0 mm leaves less than 100.0 mm for a piece',
    ],
    [{ joints: [{ kind: 'sleeve', at: 1000, length: 70, gap: 5 }] }, 'joints[0], gap: shows at a spigot only'],
    [{ joints: [{ kind: 'spigot', at: 1000, length: 20, gap: 20 }] }, 'is as long as the spigot'],
    [{ joints: [{ kind: 'spigot', at: 1000, length: 20, play: 3 }] }, 'joints[0], play: belongs to a sleeve'],
    [{ joints: [{ kind: 'bayonet', at: 1000, length: 20 }] }, 'joints[0], kind: must be "spigot" or "sleeve"'],
    [
      { positions: [{ ...file.positions[0], at: 1003 }] },
      'positions "G1", at: 1003.0 mm lies in the gap of the joint at 1000.0 mm',
    ],
    [{ section: { startsAt: 200 } }, 'a plan for one section names the joints at its ends'],
    [{ joint: [] }, 'write "joints" if that is meant'],
    [{ section: { startsAt: 0, piece: 1, of: 7 }, joints: [] }, 'section, of: is more than 5'],
  ])('refuses %j in one sentence', (change, sentence) => {
    expect(refused(change)).toThrow(InputError);
    expect(refused(change)).toThrow(sentence);
  });

  it('takes the piece that lies on the mat from the shoot', () => {
    const shoot = { schema: 'prewrap.shoot/1', stage: 'rings', photos: ['1.jpg'], mat: {}, rest: { kind: 'flat' } };
    const read = parseShoot({ ...shoot, rollReference: 'guides', piece: 2 });
    expect(read.piece).toBe(2);
    expect(shootToFile(read)).toMatchObject({ piece: 2 });
    expect(() => parseShoot({ ...shoot, rollReference: 'guides', piece: 0 })).toThrow('piece: must be 1 or more');
    const plan = parsePlan(file);
    expect(planOnMat(plan, {})).toBe(plan);
    expect(planOnMat(plan, read).section).toEqual({ startsAt: 936, piece: 2, of: 2 });
    const alone = planOfPiece(plan, 2);
    expect(planOnMat(alone, read)).toBe(alone);
    expect(() => planOnMat(alone, { piece: 1 })).toThrow('The plan is for one piece by itself, not for piece 1');
    expect(() => planOnMat(plan, { piece: 3 })).toThrow('has 2 pieces, and none is number 3');
    expect(() => planOnMat(planWith([]), { piece: 1 })).toThrow('has no joints');
  });
});

describe('the worked two-piece rod', () => {
  it('is laid out, split, listed from each piece’s own end, with nothing found against it', async () => {
    const text = await readFile(new URL('../../fixtures/layouts/two-piece.json', import.meta.url), 'utf8');
    const { plan, pieces, findings } = layOut(parseLayout(text));
    expect(findings).toEqual([]);
    expect(jointStretch(plan.joints![0]!)).toEqual({ from: 1021, to: 1091 });
    expect(pieces!.map(({ rows }) => rows.map(({ id, reading }) => [id, reading]))).toEqual([
      [
        ['T', 12],
        ['G1', 95],
        ['G2', 200],
        ['G3', 316],
        ['G4', 445],
        ['G5', 590],
        ['G6', 755],
        ['G7', 950],
        ['F1', 1065],
      ],
      // less 1021 mm, where the spigot's end stands on the rod put together
      [
        ['F2', 85],
        ['G8', 169],
        ['G9', 469],
        ['K', 579],
      ],
    ]);
    // the wraps at the joint end at the opening, and at the shoulder 70 mm from the spigot's end
    expect(pieces![0]!.rows.at(-1)!.wraps).toMatchObject([{ from: 1065, to: 1085 }]);
    expect(pieces![1]!.rows[0]!.wraps).toMatchObject([{ from: 70, to: 85 }]);
  });
});
