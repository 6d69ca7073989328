import { describe, expect, it } from 'vitest';
import { balancePoint, seatForBalance } from '../../src/plan/bench/balance.ts';
import { tapeStrips } from '../../src/plan/bench/tape_strips.ts';
import { tipTopTube, tubeFindings } from '../../src/plan/bench/tip_top_tube.ts';
import { trimBandsOf, underwrapOf } from '../../src/plan/bench/underwraps.ts';
import { planFindings } from '../../src/plan/findings/plan_findings.ts';
import { usualWraps, type WrapPractice } from '../../src/plan/foot.ts';
import { markCells, markList } from '../../src/plan/layouts/mark_list.ts';
import type { Plan, Position, RingGuide } from '../../src/plan/plan.ts';

const single: RingGuide = {
  ringOuter: 6,
  ringInner: 4.3,
  height: 6.5,
  lean: 0,
  foot: 'single',
  footLength: 9,
  reach: 2,
};
const double: RingGuide = { ...single, ringOuter: 16, height: 22, foot: 'double', footLength: 16, reach: 10 };
const guide = (id: string, at: number, shape: RingGuide): Position => ({ id, kind: 'guide', at, guide: shape });
// 2 mm at the tip, 12 mm at 1000 mm: one hundredth of a millimetre thicker each millimetre
const plan: Plan = {
  title: 'A rod',
  unit: 'mm',
  blank: { length: 1000, tipDiameter: 2, buttDiameter: 12, finish: 'dark' },
  positions: [guide('G1', 100, single), guide('G2', 300, single), guide('G3', 600, double)],
  tolerance: { along: 1.5, roll: 2 },
};

describe('a tip-top’s tube', () => {
  it('takes the blank where the tube ends, in the sizes tubes are sold in', () => {
    // 10 mm into the tube the blank is 2.1 mm; 0.05 mm for glue; 5/64 in is 1.98 mm, 5.5/64 in is 2.18 mm
    const tube = tipTopTube(plan, 10);
    expect(tube.bore).toBeCloseTo(2.15, 9);
    expect(tube).toMatchObject({ tenths: 2.2, sixtyFourths: 5.5 });
  });

  it('that does not go on, stops short or sits loose is told', () => {
    const withTube = (tubeInner: number) =>
      tubeFindings({ ...plan, tipTop: { ringOuter: 6, ringInner: 4.3, tubeLength: 10, tubeInner } });
    expect(withTube(1.8)).toMatchObject([{ weight: 'fault', text: expect.stringContaining('does not go on') }]);
    expect(withTube(2.05)).toMatchObject([{ weight: 'look', text: expect.stringContaining('stops short') }]);
    expect(withTube(2.2)).toEqual([]);
    expect(withTube(2.6)).toMatchObject([{ weight: 'look', text: expect.stringContaining('askew') }]);
    expect(withTube(1.8)[0]!.cure).toContain('A tube of 2.2 mm, sold in inches as 5.5/64, fits.');
  });
});

describe('strips of tape', () => {
  it('are one a foot, half as wide as it, and long enough for the blank there', () => {
    // at 300 mm the blank is 5 mm thick: 1.5 turns are 23.6 mm and 6 mm to start by, so 30 mm; at 600 mm 8 mm: 45 mm
    expect(tapeStrips(plan)).toEqual([
      { width: 5, length: 30, count: 2, ids: ['G1', 'G2'] },
      { width: 8, length: 45, count: 2, ids: ['G3'] },
    ]);
  });

  it('are still counted where no foot is described', () => {
    const { footLength: _, reach: __, ...bare } = double;
    expect(tapeStrips({ ...plan, positions: [guide('G1', 600, bare)] })).toMatchObject([{ width: 5, count: 2 }]);
  });
});

describe('underwraps and trim bands', () => {
  const wraps = { ...usualWraps, underwrap: 3, trimBand: 2, trimGap: 1 };

  it('lie under and beyond a guide’s wraps', () => {
    // single foot toward the butt from 102 to 111, its wrap to 115; double feet 574 to 590 and 610 to 626, wraps 570 to
    // 630
    const [one, , two] = plan.positions as [Position, Position, Position];
    expect(underwrapOf(one, plan, wraps)).toEqual({ from: 99, to: 118 });
    expect(trimBandsOf(one, plan, wraps)).toEqual([{ from: 116, to: 118 }]);
    expect(underwrapOf(two, plan, wraps)).toEqual({ from: 567, to: 633 });
    expect(trimBandsOf(two, plan, wraps)).toEqual([
      { from: 567, to: 569 },
      { from: 631, to: 633 },
    ]);
    expect(underwrapOf(one, plan, usualWraps)).toBeUndefined();
    expect(trimBandsOf(one, plan, usualWraps)).toEqual([]);
  });

  it('stand in the mark list with thread of their own, and only where they are planned', () => {
    const list = markList(plan, { wraps });
    // 2 mm by a thread of 0.15 mm, round 3.17 mm of blank and the thread's own middle
    expect(list.rows[0]!.trim[0]!.thread).toBeCloseTo((2 / 0.15) * Math.PI * (2 + 1.17 + 0.15), 6);
    expect(list.thread).toBe(markList(plan).thread);
    expect(markCells(list)[0]!.slice(-2)).toEqual(['underwrap (mm)', 'trim band (mm)']);
    expect(markCells(list)[3]!.slice(-2)).toEqual(['567.0 to 633.0', '567.0 to 569.0; 631.0 to 633.0']);
    expect(markCells(markList(plan))[0]).not.toContain('underwrap (mm)');
  });

  it('that meet are told', () => {
    const near = { ...plan, positions: [guide('G1', 100, single), guide('G2', 118, single)] };
    const overlaps = (practice: WrapPractice) =>
      planFindings(near, { wraps: practice }).filter(({ rule }) => rule === 'overlap');
    expect(overlaps(wraps)).toMatchObject([
      { weight: 'look', text: 'The underwrap of G1 and the underwrap of G2 overlap by 1.0 mm.' },
    ]);
    expect(overlaps(usualWraps)).toEqual([]);
  });
});

describe('balance', () => {
  const parts = [
    { name: 'blank', grams: 60, at: 600 },
    { name: 'grip', grams: 40, at: 900 },
  ];

  it('is the mean of places by weight', () => {
    // (60 x 600 + 40 x 900 + 200 x 850) / 300
    expect(balancePoint({ parts, reel: { grams: 200, at: 850 } })).toBeCloseTo(806.6667, 3);
    expect(() => balancePoint({ parts: [], reel: { grams: 0, at: 0 } })).toThrow('Nothing on the rod has a weight');
  });

  it('comes where it is wanted with the seat where it is told to go', () => {
    const at = seatForBalance({ parts, reel: { grams: 200, at: 0 } }, 40);
    expect(at - balancePoint({ parts, reel: { grams: 200, at } })).toBeCloseTo(40, 9);
    expect(() => seatForBalance({ parts: [], reel: { grams: 200, at: 0 } }, 40)).toThrow('weight of the bare blank');
  });
});
