import { describe, expect, it } from 'vitest';
import { cautionsFor, labelsPrevail } from '../../src/plan/findings/cautions.ts';
import { usualWraps } from '../../src/plan/foot.ts';
import { parseGuideSet, guideSetToFile } from '../../src/plan/files/guide_set.ts';
import { startingGuides } from '../../src/plan/layouts/starting_guides.ts';
import { markList, markListCsv, markListText } from '../../src/plan/layouts/mark_list.ts';
import { type Plan, ringOf } from '../../src/plan/plan.ts';

const plan: Plan = {
  title: 'A rod',
  unit: 'in',
  blank: { length: 1000, tipDiameter: 2, buttDiameter: 12, finish: 'dark' },
  positions: [
    { id: 'T', kind: 'tip-wrap', at: 12.7 },
    {
      id: 'G1, "small"',
      kind: 'guide',
      at: 300,
      guide: {
        ringOuter: 8,
        ringInner: 6,
        height: 9,
        lean: 0,
        foot: 'single',
        footLength: 10,
        reach: 5,
        footToward: 'tip',
      },
    },
    {
      id: 'G2',
      kind: 'guide',
      at: 600,
      guide: { ringOuter: 12, ringInner: 9, height: 14, lean: 0, foot: 'double', footLength: 10, reach: 5 },
    },
    { id: 'F', kind: 'ferrule-wrap', at: 712.7 },
  ],
  tolerance: { along: 1.5, roll: 2 },
  fittings: [{ kind: 'ferrule', from: 680, to: 700 }],
};
const wraps = { ...usualWraps, beyondFoot: 4, threadDiameter: 0.2 };

describe('mark list', () => {
  it('lists where the foot starts beside where the ring goes', () => {
    const [, g1, g2] = markList(plan, { wraps }).rows;
    expect(g1).toMatchObject({ distance: 300, feet: [{ from: 285, to: 295 }], wraps: [{ from: 281, to: 295 }] });
    expect(g2!.feet).toEqual([
      { from: 585, to: 595 },
      { from: 605, to: 615 },
    ]);
    expect(g2!.wraps).toMatchObject([
      { from: 581, to: 595 },
      { from: 605, to: 619 },
    ]);
  });

  it('measures from the butt and from the ferrule, along the tape', () => {
    const butt = markList(plan, { datum: { from: 'butt' }, wraps }).rows[1]!;
    expect(butt).toMatchObject({ distance: 700, toward: 'tip', feet: [{ from: 705, to: 715 }] });
    const ferrule = markList(plan, { datum: { from: 'ferrule', at: 680 }, wraps }).rows;
    expect(ferrule[1]).toMatchObject({ distance: 380, toward: 'tip' });
    expect(ferrule[3]).toMatchObject({ toward: 'butt', distance: expect.closeTo(32.7, 9) });
  });

  it('measures a butt section from the ferrule end it begins with', () => {
    const section: Plan = { ...plan, section: { startsAt: 280 }, positions: plan.positions.slice(1, 2) };
    expect(markList(section).rows[0]).toMatchObject({ distance: 20, toward: 'butt', at: 300 });
  });

  it('gives the nearest reading and what rounding leaves', () => {
    const row = markList(plan, { division: '1/16 in' }).rows[1]!;
    expect(row.reading).toBeCloseTo(11.8125 * 25.4, 9);
    expect(row.left).toBeCloseTo(300 - 11.8125 * 25.4, 9);
  });

  it('counts thread as turns times pi times diameter, worked by hand', () => {
    // wrap 281 to 295, 70 turns of 0.2; blank 2 + 10 * 0.288 = 4.88, thread middle at 5.08: 70 pi 5.08 = 1117.2 mm
    const wrap = markList(plan, { wraps }).rows[1]!.wraps[0]!;
    expect(wrap.turns).toBeCloseTo(70, 9);
    expect(wrap.thread).toBeCloseTo(1117.15, 2);
    const list = markList(plan, { wraps });
    expect(list.thread).toBeCloseTo(
      list.rows.flatMap((row) => row.wraps).reduce((sum, w) => sum + w.thread, 0),
      9,
    );
  });

  it('wraps the tip from its mark and the ferrule from its mark to its nearer end', () => {
    const { rows } = markList(plan, { wraps });
    expect(rows[0]!.wraps).toMatchObject([{ from: 0, to: 12.7 }]);
    expect(rows[3]!.wraps).toMatchObject([{ from: 700, to: 712.7 }]);
  });

  it('writes comma-separated values that read back cell by cell', () => {
    const csv = markListCsv(markList(plan, { division: '1/16 in' }));
    const rows = csv.trimEnd().split('\r\n');
    expect(rows).toHaveLength(5);
    expect(rows[2]!.startsWith('"G1, ""small""",guide,11.8110,11 13/16 in,')).toBe(true);
    const commas = rows.map((row) => row.replaceAll(/"(?:[^"]|"")*"/g, '').split(',').length);
    expect(new Set(commas).size).toBe(1);
  });

  it('sets a table of even columns, without those that are empty', () => {
    const bare = { ...plan, positions: [plan.positions[0]!] };
    const text = markListText(markList(bare), 'mm');
    expect(text).not.toContain('ring');
    const [head, row] = markListText(markList(plan)).split('\n');
    expect(row!.indexOf('tip wrap')).toBe(head!.indexOf('kind'));
  });
});

describe('guide sets', () => {
  it('goes to a file and back, in inches too', () => {
    expect(parseGuideSet(JSON.stringify(guideSetToFile(startingGuides)))).toEqual(startingGuides);
    const inches = parseGuideSet(guideSetToFile({ ...startingGuides, unit: 'in' }));
    expect(ringOf(inches.guides[0]!.guide)!.ringOuter).toBeCloseTo(6, 7);
  });

  it('names the place of a fault', () => {
    const file = guideSetToFile(startingGuides);
    const twice = { ...file, guides: [file.guides[0], file.guides[0]] };
    expect(() => parseGuideSet(twice)).toThrow('guides.json, guides[1], name: "6 single foot" is given twice');
    const wrong = { ...file, guides: [{ ...file.guides[0], ringInner: 7 }] };
    expect(() => parseGuideSet(wrong)).toThrow('guides[0], ringInner: the inner diameter is not smaller');
  });
});

describe('cautions', () => {
  it('says each once, and last that labels prevail', () => {
    const said = cautionsFor(['epoxy', 'load-rod', 'epoxy']);
    expect(said).toHaveLength(3);
    expect(said.at(-1)).toBe(labelsPrevail);
    expect(cautionsFor([])).toEqual([]);
  });
});
