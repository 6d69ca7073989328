import { describe, expect, test } from 'vitest';
import {
  beforeDarkerShadow,
  beforeLighterShadow,
  bridged,
  endOfBlank,
  squareEnd,
  type TipPoint,
} from '../../src/vision/tip_profile.ts';
import type { Line } from '../../src/vision/tip_strips.ts';

/** Five pixels a mm, four samples a pixel; the station looked at is 16 mm of profile from its start. */
const perMm = 5;
const line: Line = { at: [200, 100], normal: [-1, 0], perMm, inward: 320, count: 641 };
/** Contrast by the place along, mm inward from the station. */
const profile = (contrast: (inward: number) => number) =>
  Float64Array.from({ length: line.count }, (_, i) => contrast((line.inward - i) / (4 * perMm)));
const tipAt = (offset: number): TipPoint => ({ pixel: [200, 100], normal: [-1, 0], offset, perMm, sigma: 0.2 });

describe('the end of a blank in a profile of its contrast', () => {
  test('is where half of it is left, whatever a mark takes away farther in', () => {
    const blank = profile((s) => (s > 0.5 ? (s > 4 && s < 5 ? 20 : 120) : 0));
    expect(endOfBlank(blank, line, 15)!.offset).toBeCloseTo(0.5, 1);
    expect(
      endOfBlank(
        profile(() => 10),
        line,
        15,
      ),
    ).toBeUndefined();
  });
  test('a thin line’s dip is bridged, a wide one’s is not', () => {
    const dips = bridged(
      profile((s) => (Math.abs(s + 3) < 0.2 || Math.abs(s + 6) < 1.5 ? 40 : 200)),
      12,
    );
    expect(dips[line.inward + 60]).toBe(200);
    expect(dips[line.inward + 120]).toBe(40);
  });
  test('is that of the side farther in where they lie apart, and doubted by it', () => {
    const side = (offset: number, contrast = (s: number): number => (s > offset ? 120 : 0)) => ({
      contrast: profile(contrast),
      end: tipAt(offset),
    });
    expect(squareEnd(tipAt(0), [side(0.04), side(-0.03)], line)).toEqual(tipAt(0));
    expect(squareEnd(tipAt(0), [side(0.4), undefined], line)).toEqual(tipAt(0));
    // a shadow goes on from it on one side, lighter than the blank
    const shadowed = side(-0.3, (s) => (s > 0.3 ? 120 : s > -0.3 ? 90 : 0));
    const back = squareEnd(tipAt(0), [side(0.3), shadowed], line);
    expect(back.offset).toBeCloseTo(0.3, 9);
    expect(back.pixel[0]).toBeCloseTo(201.5, 9);
    expect(back.sigma).toBeGreaterThan(0.9);
    // as dark to its end as before, it is the blank, and what ends before it its shadow
    const whole = squareEnd(tipAt(0), [side(0.3), side(-0.3)], line);
    expect(whole.offset).toBeCloseTo(-0.3, 9);
    expect(whole.sigma).toBeCloseTo(back.sigma, 9);
  });
  test('lies before what goes on from it and is darker than the blank; a blank as dark to its end keeps it', () => {
    const pale = profile((s) => (s > 2 ? 20 : s > 0 ? 60 : 0));
    const before = beforeDarkerShadow(tipAt(0), pale, line);
    expect(before.offset).toBeCloseTo(2, 0);
    expect(before.sigma / perMm).toBeGreaterThan(0.6);
    const dark = profile((s) => (s > 2 ? 100 : s > 0 ? 130 : 0));
    expect(beforeDarkerShadow(tipAt(0), dark, line)).toEqual(tipAt(0));
  });
  test('of a dark blank lies before what is lighter and goes on level from it, as long as no rounded end is', () => {
    const shadowed = profile((s) => (s > 2 ? 160 : s > 0 ? 130 : 0));
    const before = beforeLighterShadow(tipAt(0), shadowed, line);
    expect(before.offset).toBeCloseTo(2, 1);
    expect(before.shadow).toBeCloseTo(2 * perMm, 0);
    expect(before.sigma / perMm).toBeGreaterThan(0.3);
    const rounded = profile((s) => (s > 0.5 ? 160 : s > 0 ? 110 : 0));
    expect(beforeLighterShadow(tipAt(0), rounded, line)).toEqual(tipAt(0));
    const fading = profile((s) => (s > 4 ? 160 : s > 0 ? 100 + 15 * s : 0));
    expect(beforeLighterShadow(tipAt(0), fading, line)).toEqual(tipAt(0));
    const uneven = profile((s) => (s > 0 ? 150 + 20 * Math.sin(9 * s) : 0));
    expect(beforeLighterShadow(tipAt(0), uneven, line)).toEqual(tipAt(0));
  });
});
