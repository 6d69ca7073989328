import { describe, expect, it } from 'vitest';
import { solveBend } from '../../src/plan/bend/elastica.ts';
import { linePieces } from '../../src/plan/bend/line_run.ts';
import { bendUnderRange, loadRange, surfaceStrain } from '../../src/plan/bend/load_range.ts';
import { loadFindings } from '../../src/plan/findings/load_findings.ts';
import { layOut } from '../../src/plan/layouts/layout.ts';
import { parseLayout } from '../../src/plan/layouts/layout_file.ts';

const stiffness = {
  stations: [
    { at: 0, diameter: 6 },
    { at: 1000, diameter: 6 },
  ],
  law: { kind: 'section' as const, modulus: 60 },
};
const guides = [150, 350, 580, 800].map((at, k) => ({ at, offset: 8 + 2 * k }));
const line = { tipOffset: 6, guides, reel: { at: 1100, offset: 35 } };
const bendCase = { stiffness, clampAt: 1000, load: { tension: 6, pullAngle: 90 }, line };

describe('a range of loads', () => {
  it('is half and one and a half times the working pull unless it is told', () => {
    const working = { tension: 8, pullAngle: 100 };
    expect(loadRange(working)).toEqual({
      light: { tension: 4, pullAngle: 100 },
      working,
      heavy: { tension: 12, pullAngle: 100 },
    });
    expect(loadRange(working, { heavy: { tension: 20, pullAngle: 60 } }).heavy).toEqual({ tension: 20, pullAngle: 60 });
  });

  it('tells each bend as if it were worked out alone: worst turn, and the line’s clearance from every guide on', () => {
    const range = loadRange(bendCase.load);
    for (const { name, load, solved } of bendUnderRange(bendCase, range)) {
      expect(load).toBe(range[name]);
      const alone = solveBend({ ...bendCase, load });
      expect(solved!.pieces).toEqual(linePieces({ ...bendCase, load }, alone));
      expect(solved!.pieces).toHaveLength(5);
      expect(solved!.worst!.turn).toBe(Math.max(...alone.turns.slice(1)));
      expect(alone.turns[solved!.worst!.guide + 1]).toBe(solved!.worst!.turn);
    }
  });

  it('says which pull could not be followed, and tells the others', () => {
    const far = { tension: 400_000, pullAngle: 150 };
    const [light, working, heavy] = bendUnderRange(bendCase, loadRange(bendCase.load, { heavy: far }));
    expect([light!.solved, working!.solved].every((solved) => solved !== undefined)).toBe(true);
    expect(heavy).toMatchObject({ name: 'heavy', why: expect.stringContaining('could not be followed') });
    expect(heavy!.solved).toBeUndefined();
  });

  it('stretches the surface as a beam in small bending: load times arm times radius through EI', () => {
    const small = { stiffness, clampAt: 1000, load: { tension: 0.02, pullAngle: 90 } };
    const { most, at } = surfaceStrain(small, solveBend(small));
    const ei = (60_000 * Math.PI * 6 ** 4) / 64;
    // at the hold the arm is the whole length
    expect(most / ((0.02 * at * 3) / ei)).toBeCloseTo(1, 3);
    expect(at).toBeGreaterThan(990);
  });

  it('warns of a blank stretched beyond what its material bears, once, under the lightest such pull', () => {
    const bends = bendUnderRange(bendCase, loadRange(bendCase.load, { heavy: { tension: 40, pullAngle: 90 } }));
    const strains = bends.map(({ solved }) => solved!.strain.most);
    expect(strains[0]).toBeLessThan(strains[1]!);
    expect(strains[1]).toBeLessThan(strains[2]!);
    expect(strains[2]).toBeGreaterThan(0.01);
    expect(strains[1]).toBeLessThan(0.02);
    const ids = ['G1', 'G2', 'G3', 'G4'];
    const over = (material: 'carbon' | 'glass') =>
      loadFindings(bends, ids, material, 'mm').filter(({ rule }) => rule === 'overload');
    expect(over('carbon')).toHaveLength(1);
    expect(over('carbon')[0]!.text).toMatch(
      /pull the blank’s surface would be stretched by \d\.\d %, \d+\.\d mm from the tip/,
    );
    expect(over('carbon')[0]!.cure).toContain('the rating on the blank prevails');
  });

  it('tells a touch of the line under another pull than the working one', () => {
    const low = { ...line, guides: [300, 800].map((at) => ({ at, offset: 4.2 })), tipOffset: 3.2 };
    const onTop = { ...bendCase, line: low, load: { tension: 1, pullAngle: 90 } };
    const bends = bendUnderRange(onTop, loadRange(onTop.load, { heavy: { tension: 8, pullAngle: 90 } }));
    const touches = loadFindings(bends, ['G1', 'G2'], 'glass', 'mm').filter(({ rule }) => rule === 'line-touches');
    const deeper = bends.map(({ solved }) => solved!.pieces.map(({ clearance }) => clearance < -0.05));
    const expected = deeper[2]!.filter((touch, k) => touch && !deeper[1]![k]).length;
    expect(touches.filter(({ text }) => text.startsWith('Under the heavy pull'))).toHaveLength(expected);
    expect(expected).toBeGreaterThan(0);
  });

  it('is read from a layout file, each end in its own unit', () => {
    const guide = { ringOuter: 8, ringInner: 5.8, height: 10, lean: 0, foot: 'single' };
    const spec = parseLayout({
      schema: 'prewrap.layout/1',
      title: 'A rod',
      unit: 'mm',
      blank: { length: 1418, tipDiameter: 1.7, buttDiameter: 11.4, finish: 'dark' },
      guides: [guide, guide, guide, guide],
      layout: {
        kind: 'bend',
        rod: { modulus: 40 },
        load: { newtons: 3, pullAngle: 90 },
        light: { ounces: 4 },
        heavy: { pounds: 1, pullAngle: 60 },
        side: 'underneath',
        clampAt: 1190,
        reel: { at: 1280, height: 40 },
        gaps: 'free',
      },
    });
    expect(spec.layout).toMatchObject({
      gaps: 'free',
      light: { tension: expect.closeTo(1.1121, 4), pullAngle: 90 },
      heavy: { tension: expect.closeTo(4.4482, 4), pullAngle: 60 },
    });
    const { range } = layOut(spec).bend!;
    expect(range.map(({ load }) => load.pullAngle)).toEqual([90, 90, 60]);
  });
});
