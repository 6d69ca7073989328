import { describe, expect, it } from 'vitest';
import {
  gapsOf,
  highestDifference,
  roughness,
  runsSmoothly,
  smoothestMember,
} from '../../src/plan/bend/smooth_gaps.ts';

const placed = (gaps: readonly number[]) => gaps.map((_, k) => gaps.slice(0, k + 1).reduce((sum, gap) => sum + gap, 0));

describe('smooth gaps', () => {
  it('finds no roughness in geometric growth, and no highest difference in arithmetic growth', () => {
    expect(Math.max(...roughness([80, 100, 125, 156.25]).map(Math.abs))).toBeLessThan(1e-12);
    expect(highestDifference([80, 90, 100, 110])).toBe(0);
    expect(gapsOf([80, 170, 270], 900)).toEqual([80, 90, 100]);
  });

  it('tells gaps that run smoothly from gaps that do not', () => {
    expect(runsSmoothly(placed([80, 88, 97, 107, 118]), true)).toBe(true);
    expect(runsSmoothly(placed([80, 70, 75, 90, 118]), true)).toBe(true);
    expect(runsSmoothly(placed([80, 120, 80, 120, 80]), true)).toBe(false);
    expect(runsSmoothly(placed([80, 80, 80, 20, 5]), true)).toBe(false);
    // the gap before a guide that is held is the builder's own
    expect(runsSmoothly(placed([300, 70, 75, 82]), false)).toBe(true);
  });

  it('takes a zigzag out of a family that differs by one', () => {
    const smooth = [80, 88, 97, 107, 118, 130];
    const family = (p: number) => smooth.map((gap, k) => gap + (k % 2 === 0 ? p : -p));
    expect(Math.abs(smoothestMember(family, 25, 1e-3))).toBeLessThan(0.5);
  });

  it('stays where the family ends', () => {
    expect(smoothestMember(() => undefined, 3, 1e-3)).toBe(3);
  });
});
