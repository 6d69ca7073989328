import { describe, expect, it } from 'vitest';
import { turnedPieces } from '../../src/plan/findings/turned_line.ts';
import { planFindings } from '../../src/plan/findings/plan_findings.ts';
import { InputError } from '../../src/plan/input_error.ts';
import { layOut } from '../../src/plan/layouts/layout.ts';
import { parseLayout } from '../../src/plan/layouts/layout_file.ts';
import { markCells } from '../../src/plan/layouts/mark_list.ts';
import { layOutSpiral } from '../../src/plan/layouts/spiral_layout.ts';
import type { Plan } from '../../src/plan/plan.ts';

describe('spiral layout', () => {
  it('walks from the top at the reel to underneath at the tip, by count, either way round', () => {
    expect(layOutSpiral({ toward: 'clockwise', transition: 2 }, 7)).toEqual([180, 180, 180, 180, 120, 60, 0]);
    expect(layOutSpiral({ toward: 'anticlockwise', transition: 2 }, 5)).toEqual([180, 180, -120, -60, 0]);
    expect(layOutSpiral({ toward: 'clockwise', transition: 0, onTop: 0 }, 3)).toEqual([180, 180, 180]);
  });

  it('walks by the angles given', () => {
    expect(layOutSpiral({ toward: 'clockwise', onTop: 2, transition: [30, 90, 150] }, 8)).toEqual([
      180, 180, 180, 150, 90, 30, 0, 0,
    ]);
    expect(layOutSpiral({ toward: 'anticlockwise', transition: [60, 120] }, 5)).toEqual([180, 180, -120, -60, 0]);
  });

  it('refuses too few guides, and angles that turn back', () => {
    expect(() => layOutSpiral({ toward: 'clockwise', transition: 5 }, 6)).toThrow(InputError);
    expect(() => layOutSpiral({ toward: 'clockwise', transition: [90, 60] }, 6)).toThrow('must grow from the butt');
    expect(() => layOutSpiral({ toward: 'clockwise', transition: [180] }, 6)).toThrow('between 0 and 180');
  });

  const ring = { ringOuter: 10, ringInner: 7, height: 9, lean: 0, foot: 'double', footLength: 9, reach: 4 };
  const spec = {
    schema: 'prewrap.layout/1',
    title: 'A casting rod',
    unit: 'mm',
    blank: { length: 1900, tipDiameter: 2, buttDiameter: 13, finish: 'dark' },
    guides: [ring, ring, ring, ring, ring, ring, ring],
    layout: { kind: 'growth', growth: 'geometric', firstGap: 110, last: 1330 },
    spiral: { toward: 'clockwise', transition: 3 },
  };

  it('is laid out, planned at each guide, and listed', () => {
    const { plan, list } = layOut(parseLayout(spec));
    expect(plan.positions.map(({ guide }) => guide?.roll)).toEqual([180, 180, 180, 135, 90, 45, 0]);
    const [heading, ...rows] = markCells(list);
    expect(heading!.at(-1)).toBe('roll (degrees)');
    expect(rows.map((row) => row.at(-1))).toEqual(['180', '180', '180', '135', '90', '45', '0']);
  });

  it('is not listed where no guide is turned', () => {
    const { spiral: _, ...plain } = spec;
    expect(markCells(layOut(parseLayout(plain)).list)[0]).not.toContain('roll (degrees)');
  });
});

describe('the line on its way round the blank', () => {
  const opposite = (turn: number, height: number): Plan => ({
    title: 'Two guides',
    unit: 'mm',
    blank: { length: 1000, tipDiameter: 8, buttDiameter: 8, finish: 'dark' },
    positions: [0, turn].map((roll, k) => ({
      id: `G${k + 1}`,
      kind: 'guide',
      at: 200 + 300 * k,
      guide: { ringOuter: 10, ringInner: 6, height, lean: 0, foot: 'double', roll },
    })),
    tolerance: { along: 1.5, roll: 2 },
  });

  it('passes halfway at the cosine of half the turn, by hand: 12 mm from the axis, a quarter turn apart', () => {
    // lines lie 4 + 11 - 3 = 12 mm from the axis; halfway 12 cos 45 degrees
    expect(turnedPieces(opposite(90, 11))).toMatchObject([
      { ids: ['G1', 'G2'], turn: 90, clearance: expect.closeTo(12 * Math.SQRT1_2 - 4, 6), at: 350 },
    ]);
    expect(turnedPieces(opposite(-90, 11))[0]!.turn).toBe(90);
    expect(turnedPieces(opposite(0, 11))).toEqual([]);
  });

  it('is said to run into the blank where two neighbours stand too far round from each other', () => {
    const touching = planFindings(opposite(150, 11)).filter(({ rule }) => rule === 'line-touches');
    expect(touching).toMatchObject([
      {
        items: ['G1', 'G2'],
        text: expect.stringContaining('turns 150 degrees round the blank and would run into it by 0.9 mm'),
      },
    ]);
    expect(planFindings(opposite(60, 11)).filter(({ rule }) => rule === 'line-touches')).toEqual([]);
  });
});
