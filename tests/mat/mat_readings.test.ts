import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  nominalSpan,
  printedScale,
  readingProblems,
  spanLength,
  spanReadingUncertainty,
  spanUncertainty,
  tilesForBlank,
  widestSpan,
} from '../../src/mat/readings.ts';
import { paperSizes } from '../../src/mat/tile.ts';
import type { MatReadings } from '../../src/plan/shoot.ts';

const mat = { paper: 'A4', tiles: 5 } as const;
const messages = (readings: MatReadings, display: 'mm' | 'in' | 'in-fraction' = 'mm') =>
  readingProblems(readings, mat, display).map((problem) => problem.message);

describe('tiles', () => {
  test('a blank of 1418 mm needs five A4 or six Letter tiles', () => {
    expect(tilesForBlank(1418, 'A4')).toBe(5);
    expect(tilesForBlank(1418, 'Letter')).toBe(6);
  });
  test('there is paper past both ends, and no tile more than that needs', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 100, max: 15_000 }),
        fc.constantFrom('A4' as const, 'Letter' as const),
        (length, paper) => {
          const mm = tilesForBlank(length, paper) * paperSizes[paper].width;
          // a blank may end exactly with a page, and a page of 279.4 mm is no round number
          expect(mm).toBeGreaterThanOrEqual(length + 30 - 1e-6);
          expect(mm - paperSizes[paper].width).toBeLessThan(length + 30);
        },
      ),
      // thirty pages of Letter to the millimetre
      { examples: [[8352, 'Letter']] },
    );
  });
});

describe('the span', () => {
  test('of five A4 tiles edge to edge is four pages, 200 mm between tag centres and one tag', () => {
    expect(nominalSpan(widestSpan(5), 'A4')).toBeCloseTo(4 * 297 + 200 + 24, 9);
    expect(nominalSpan({ fromTag: 44, toTag: 0 }, 'A4')).toBeCloseTo(4 * 297 + 200 + 24, 9);
    // The printer scales what is on the pages, not the pages.
    expect(nominalSpan(widestSpan(5), 'A4', 0.97)).toBeCloseTo(4 * 297 + 0.97 * 224, 9);
    expect(nominalSpan({ fromTag: 0, toTag: 45 }, 'A4')).toBeUndefined();
    expect(nominalSpan({ fromTag: 580, toTag: 4 }, 'A4')).toBeUndefined();
  });

  test("its tape's limit of error is that of EC class II (SI 2016/1153, schedule 1I: 0.5, 0.7 and 0.9 mm up to 1, 2 and 3 m)", () => {
    const limit = (length: number) =>
      Math.sqrt((spanUncertainty({ ...widestSpan(5), length }) ** 2 - 0.5 ** 2 / 6) * 3);
    expect(limit(1000)).toBeCloseTo(0.5, 9);
    expect(limit(1001)).toBeCloseTo(0.7, 9);
    expect(limit(3000)).toBeCloseTo(0.9, 9);
  });
});

describe('problems with readings', () => {
  test('good readings have none, at any print scale and any joint', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.96, max: 1.04, noNaN: true }),
        fc.double({ min: -0.5, max: 0.5, noNaN: true }),
        fc.double({ min: 0, max: 3, noNaN: true }),
        fc.integer({ min: 1, max: 10 }),
        (scale, difference, gap, tiles) => {
          const span = widestSpan(tiles);
          const length = nominalSpan(span, 'A4', scale)! + (tiles - 1) * gap;
          const barAlong = Math.round(1000 * scale) / 10;
          const readings = { barAlong, barAcross: barAlong + difference, span: { ...span, length } };
          expect(readingProblems(readings, { paper: 'A4', tiles })).toEqual([]);
        },
      ),
    );
    expect(messages({})).toEqual([]);
  });

  test('inches, centimetres and metres typed as millimetres', () => {
    expect(messages({ barAlong: 3.94 })).toEqual(['The bar along reads 3.94 mm; if that was 3.94 in, enter 100.1 mm.']);
    expect(messages({ barAcross: 9.96 })).toEqual([
      'The bar across reads 9.96 mm; if that was 9.96 cm, enter 99.6 mm.',
    ]);
    expect(messages({ span: { ...widestSpan(5), length: 55.83 } })).toEqual([
      'The span reads 55.83 mm; if that was 55.83 in, enter 1418.1 mm.',
    ]);
    expect(messages({ span: { ...widestSpan(5), length: 1.418 } })).toEqual([
      'The span reads 1.418 mm; if that was 1.418 m, enter 1418.0 mm.',
    ]);
  });

  test('millimetres typed as inches', () => {
    expect(messages({ barAlong: 99.6 * 25.4 }, 'in')).toEqual([
      'The bar along reads 99.6 in; if that was 99.6 mm, enter 3.921 in.',
    ]);
    expect(messages({ span: { ...widestSpan(5), length: 1418 * 25.4 } }, 'in-fraction')).toEqual([
      'The span reads 1418 in; if that was 1418 mm, enter 55.827 in.',
    ]);
  });

  test('a slipped decimal point', () => {
    expect(messages({ barAlong: 1000 })).toEqual([
      'The bar along reads 1000 mm; if the decimal point has slipped, enter 100.0 mm.',
    ]);
    expect(messages({ barAcross: 996 })).toEqual([
      'The bar across reads 996 mm; if the decimal point has slipped, enter 99.6 mm.',
    ]);
    expect(messages({ span: { ...widestSpan(5), length: 14180 } })).toEqual([
      'The span reads 14180 mm; if the decimal point has slipped, enter 1418.0 mm.',
    ]);
  });

  test('a bar that no printer makes, and bars that contradict each other', () => {
    expect(messages({ barAlong: 89.6 })).toEqual([
      expect.stringMatching(/reads 89.6 mm, too far from the 100.0 mm it was drawn: measure/),
    ]);
    expect(messages({ barAlong: 99.6, barAcross: 96.6 })).toEqual([
      expect.stringMatching(/^The two bars differ by 3.0 mm, .* measure both again\.$/),
    ]);
    expect(messages({ barAlong: 99.6, barAcross: 99.2 })).toEqual([]);
  });

  test('a span that contradicts the bar on one tile, beyond both uncertainties', () => {
    const onOne = (length: number) => messages({ barAlong: 99.6, span: { fromTag: 0, toTag: 4, length } });
    // 224 mm at 0.996 is 223.1; k = 2 over tape (0.35 mm) and bar (0.22 mm) is 0.8 mm.
    expect(onOne(223.5)).toEqual([]);
    expect(onOne(222.4)).toEqual([]);
    expect(onOne(225)).toEqual([
      expect.stringMatching(
        /reads 225 mm, but by the page's own length the tags are 223.1 mm apart, give or take 0.8 mm/,
      ),
    ]);
  });

  test('a span a whole page or a metre out, or between tags that are not on the mat', () => {
    const of = (fromTag: number, toTag: number, length: number) => messages({ span: { fromTag, toTag, length } });
    expect(of(0, 44, 1418 - 297)).toEqual([
      expect.stringMatching(/reads 1121 mm, but from tag 0 to tag 44 tiles laid edge to edge make about 1412 mm/),
    ]);
    expect(of(0, 44, 418)).toHaveLength(1);
    expect(of(0, 54, 1715)).toEqual([expect.stringMatching(/names tag 54 on tile 6, but the mat has 5 tiles/)]);
    expect(of(0, 45, 1418)).toEqual([expect.stringMatching(/are not two tags of one row/)]);
    expect(of(7, 7, 24)).toHaveLength(1);
  });
});

describe('rows of squares and repeated readings', () => {
  const mat = { paper: 'A4', tiles: 5 } as const;

  test('rows are held against what they were drawn', () => {
    expect(readingProblems({ rowAlong: 223.4, rowAcross: 167.6 }, mat)).toEqual([]);
    expect(readingProblems({ rowAlong: 22.34 }, mat).map(({ message }) => message)).toEqual([
      'The row of squares reads 22.34 mm; if that was 22.34 cm, enter 223.4 mm.',
    ]);
    expect(readingProblems({ rowAcross: 150 }, mat)[0]!.message).toMatch(/too far from the 168.0 mm it was drawn/);
    expect(readingProblems({ rowAlong: 224, rowAcross: 163 }, mat)[0]!.message).toMatch(/differs by 3.0 %/);
    expect(printedScale({ rowAlong: 224 * 0.97 }, true)).toBeCloseTo(0.97, 9);
    expect(printedScale({ barAcross: 97 }, false)).toBeCloseTo(0.97, 9);
    expect(printedScale({ barAlong: 97 }, false)).toBeUndefined();
  });

  test('a span read three times is their mean, read more surely; readings that scatter are believed less', () => {
    const once = { ...widestSpan(5), length: 1412 };
    const thrice = { ...once, again: [1412.5, 1411.5] };
    expect(spanLength(thrice)).toBeCloseTo(1412, 9);
    // JCGM 100:2008, 4.2.3: the mean's standard uncertainty is the readings' over the root of their number.
    expect(spanReadingUncertainty(thrice)).toBeCloseTo(0.5 / Math.sqrt(3), 9);
    expect(spanReadingUncertainty({ ...once, again: [1412, 1412] })).toBeCloseTo(0.5 / Math.sqrt(6) / Math.sqrt(3), 9);
    expect(spanReadingUncertainty({ ...once, again: [1416] })).toBeGreaterThan(1.9);
  });
});
