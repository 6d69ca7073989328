import fc from 'fast-check';
import { expect, test } from 'vitest';
import { nextPhoto } from '../../src/app/coverage/next_photo.ts';
import { columnCounts, coveredTiles } from '../../src/app/coverage/photo_coverage.ts';
import type { ReportNextPhoto } from '../../src/verdict/report.ts';
import type { PhotoView } from '../../src/app/coverage/photo_view.ts';

const above = (from: number, to: number): PhotoView => ({ columns: { from, to }, tilt: 2, height: 600 });
/** on to what no photo shows */
const onward = { seen: 0, toward: 'butt', tilted: false };
const aside = (from: number, to: number): PhotoView => ({ columns: { from, to }, tilt: -18, height: 600 });

test('each column is counted once a photo', () => {
  expect(columnCounts([above(0, 2), above(2, 4), {}], 1)).toEqual([1, 1, 2, 1, 1]);
});

test('a tile is as good as its least covered column, the mat’s outer ends being enough once', () => {
  const views = [above(0, 9), above(2, 12), above(5, 14)];
  expect(coveredTiles(columnCounts(views, 4))).toEqual({
    twice: [{ from: 0, to: 1 }],
    once: [{ from: 2, to: 2 }],
    never: [{ from: 3, to: 3 }],
  });
});

test('the tip’s end comes first, then on along the rod', () => {
  expect(nextPhoto([], 5)).toEqual({ kind: 'stretch', columns: { from: 0, to: 9 }, ...onward });
  expect(nextPhoto([above(0, 9)], 5)).toEqual({ kind: 'stretch', columns: { from: 10, to: 19 }, ...onward });
});

test('then back along the rod over what was seen once, tilted until one is', () => {
  const there = [above(0, 9), above(8, 19), above(18, 24)];
  expect(nextPhoto(there, 5)).toEqual({
    kind: 'stretch',
    columns: { from: 20, to: 22 },
    seen: 1,
    toward: 'tip',
    tilted: true,
  });
  const back = [...there, aside(12, 23)];
  expect(nextPhoto(back, 5)).toEqual({
    kind: 'stretch',
    columns: { from: 10, to: 11 },
    seen: 1,
    toward: 'tip',
    tilted: false,
  });
  expect(nextPhoto([...back, above(8, 19)], 5)).toMatchObject({ columns: { from: 2, to: 7 }, toward: 'tip' });
  // whoever has walked back to the tip is not sent to the butt first
  expect(nextPhoto([...there, above(0, 4)], 5)).toMatchObject({ columns: { from: 5, to: 7 }, toward: 'butt' });
});

test('when all is covered a tilted one is asked for, then four in all', () => {
  expect(nextPhoto([above(0, 4), above(0, 4)], 1)).toEqual({ kind: 'tilt' });
  expect(nextPhoto([above(0, 4), aside(0, 4)], 1)).toEqual({ kind: 'more', count: 2 });
  expect(nextPhoto([above(0, 4), aside(0, 4), above(0, 4), above(0, 4)], 1)).toEqual({ kind: 'enough' });
});

test('what the last check asked for goes after what no photo shows, before all else', () => {
  const wanted: ReportNextPhoto = {
    over: 'tip',
    from: 'side',
    height: 300,
    aim: { tile: 0, u: -100 },
    stand: { along: 0, across: 150 },
    expects: [],
  };
  expect(nextPhoto([above(0, 4)], 2, wanted)).toEqual({ kind: 'stretch', columns: { from: 5, to: 9 }, ...onward });
  expect(nextPhoto([above(0, 9)], 2, wanted)).toEqual({ kind: 'wanted', photo: wanted });
  expect(nextPhoto([above(0, 4), aside(0, 4), above(0, 4), above(0, 4)], 1, wanted).kind).toBe('wanted');
});

test('whoever takes each photo that is asked for comes to an end, with every stretch covered', () => {
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 12 }), fc.integer({ min: 4, max: 14 }), (tiles, reach) => {
      const views: PhotoView[] = [];
      for (let i = 0; i < 60; i++) {
        const next = nextPhoto(views, tiles);
        if (next.kind === 'enough') break;
        if (next.kind === 'stretch') {
          const { from } = next.columns;
          views.push(above(from, Math.min(from + reach, 5 * tiles - 1)));
        } else views.push(aside(0, 4));
      }
      expect(nextPhoto(views, tiles).kind).toBe('enough');
      const counts = columnCounts(views, tiles);
      expect(Math.min(...counts)).toBeGreaterThanOrEqual(1);
      expect(Math.min(...counts.slice(2, -2))).toBeGreaterThanOrEqual(2);
    }),
  );
});
