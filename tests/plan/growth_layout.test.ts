import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type GrowthCase, layOutByGrowth } from '../../src/plan/layouts/growth_layout.ts';
import { InputError } from '../../src/plan/input_error.ts';
import {
  divisionLength,
  nearestReading,
  readingText,
  roundPositions,
  tapeDivisions,
} from '../../src/plan/lengths/tape_reading.ts';

const close = (values: readonly number[]) => values.map((value) => expect.closeTo(value, 9) as unknown);

describe('layout by growth', () => {
  // worked by hand: 100 + 110 + 120 + 130 = 460
  it.each<GrowthCase>([
    { growth: 'arithmetic', guides: 4, firstGap: 100, last: 460 },
    { growth: 'arithmetic', guides: 4, firstGap: 100, step: 10 },
    { growth: 'arithmetic', guides: 4, last: 460, step: 10 },
  ])('solves an arithmetic run from any two of three: %o', (layout) => {
    const solved = layOutByGrowth(layout);
    expect(solved.at).toEqual(close([100, 210, 330, 460]));
    expect(solved.firstGap).toBeCloseTo(100, 9);
    expect(solved.growth).toBeCloseTo(10, 9);
  });

  // worked by hand: 100, 110, 121, 133.1, 146.41
  it.each<GrowthCase>([
    { growth: 'geometric', guides: 5, firstGap: 100, last: 610.51 },
    { growth: 'geometric', guides: 5, firstGap: 100, ratio: 1.1 },
    { growth: 'geometric', guides: 5, last: 610.51, ratio: 1.1 },
  ])('solves a geometric run from any two of three: %o', (layout) => {
    const solved = layOutByGrowth(layout);
    expect(solved.at).toEqual(close([100, 210, 331, 464.1, 610.51]));
    expect(solved.growth).toBeCloseTo(1.1, 9);
  });

  it('counts the gaps from a start of its own', () => {
    const { at } = layOutByGrowth({ growth: 'arithmetic', guides: 3, start: 50, firstGap: 100, last: 380 });
    expect(at).toEqual(close([150, 260, 380]));
  });

  it('solves even gaps, where the ratio is one', () => {
    expect(layOutByGrowth({ growth: 'geometric', guides: 8, firstGap: 100, last: 800 }).growth).toBeCloseTo(1, 12);
  });

  it('reaches the last position exactly with gaps that grow as they should', () => {
    const growth = fc.constantFrom('arithmetic' as const, 'geometric' as const);
    fc.assert(
      fc.property(
        growth,
        fc.integer({ min: 2, max: 15 }),
        fc.double({ min: 1, max: 3, noNaN: true }),
        (kind, guides, stretch) => {
          const firstGap = 60;
          const last = firstGap * guides * stretch;
          const solved = layOutByGrowth({ growth: kind, guides, firstGap, last });
          const gaps = solved.at.map((place, k) => place - (solved.at[k - 1] ?? 0));
          expect(solved.at.at(-1)).toBeCloseTo(last, 8);
          expect(gaps[0]).toBeCloseTo(firstGap, 8);
          for (const [k, gap] of gaps.slice(1).entries()) {
            expect(kind === 'arithmetic' ? gap - gaps[k]! : gap / gaps[k]!).toBeCloseTo(solved.growth, 7);
          }
        },
      ),
    );
  });

  it.each<[GrowthCase, string]>([
    [{ growth: 'geometric', guides: 5, firstGap: 100 }, 'Give two of first gap'],
    [{ growth: 'geometric', guides: 5, firstGap: 100, last: 600, ratio: 1.1 }, 'Give two of first gap'],
    [{ growth: 'geometric', guides: 5, firstGap: 100, last: 90 }, 'beyond the first gap'],
    [{ growth: 'arithmetic', guides: 5, firstGap: 200, last: 500 }, 'The gap before guide'],
    [{ growth: 'arithmetic', guides: 5, firstGap: -1, last: 500 }, 'first gap must be above 0'],
    [{ growth: 'arithmetic', guides: 2.5, firstGap: 1, last: 500 }, 'whole number'],
    [{ growth: 'arithmetic', guides: 5, start: 600, firstGap: 1, last: 500 }, 'beyond the start'],
    [{ growth: 'geometric', guides: 1, firstGap: 90, last: 500 }, 'With one guide'],
  ])('refuses %o', (layout, words) => {
    expect(() => layOutByGrowth(layout)).toThrow(InputError);
    expect(() => layOutByGrowth(layout)).toThrow(words);
  });
});

describe('tape reading', () => {
  it('leaves no position off by more than half a division, however many there are', () => {
    const division = fc.constantFrom(...tapeDivisions);
    fc.assert(
      fc.property(
        division,
        fc.integer({ min: 2, max: 15 }),
        fc.double({ min: 1.01, max: 1.3, noNaN: true }),
        (fine, guides, ratio) => {
          const { at } = layOutByGrowth({ growth: 'geometric', guides, firstGap: 71.3, ratio });
          for (const [k, place] of roundPositions(at, fine).entries()) {
            expect(Math.abs(place - at[k]!)).toBeLessThanOrEqual(divisionLength(fine) / 2 + 1e-9);
            expect(Math.abs(place / divisionLength(fine) - Math.round(place / divisionLength(fine)))).toBeLessThan(
              1e-9,
            );
          }
        },
      ),
    );
  });

  it('gives the reading and what is left', () => {
    expect(nearestReading(136.7, '1/16 in')).toEqual({
      reading: expect.closeTo(136.525, 9),
      left: expect.closeTo(0.175, 9),
    });
    expect(readingText(136.525, '1/16 in')).toBe('5 3/8 in');
    expect(readingText(136.5, '0.5 mm')).toBe('136.5 mm');
    expect(readingText(137, '1 mm')).toBe('137 mm');
  });

  it('refuses two guides on one reading', () => {
    expect(() => roundPositions([100.1, 100.4], '1 mm')).toThrow('Guides 1 and 2 would both be marked at 100 mm');
  });
});
