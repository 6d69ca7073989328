import fc from 'fast-check';
import { expect, test } from 'vitest';
import { labelRows } from '../../src/app/kit/label_rows.ts';
import { panned, showing, within, zoomed } from '../../src/app/ribbon/ribbon_view.ts';
import { rulerTicks } from '../../src/app/kit/ruler_ticks.ts';

const limits = { from: -40, to: 1460 };
const views = fc
  .tuple(fc.double({ min: -200, max: 1600, noNaN: true }), fc.double({ min: 1, max: 3000, noNaN: true }))
  .map(([from, width]) => within({ from, to: from + width }, limits));

test('no way of moving leaves the rod or gets lost in it', () => {
  fc.assert(
    fc.property(
      views,
      fc.double({ min: -5000, max: 5000, noNaN: true }),
      fc.double({ min: 0.01, max: 100, noNaN: true }),
      (view, mm, factor) => {
        for (const moved of [panned(view, mm, limits), zoomed(view, factor, mm, limits), showing(view, mm, limits)]) {
          expect(moved.from).toBeGreaterThanOrEqual(limits.from - 1e-9);
          expect(moved.to).toBeLessThanOrEqual(limits.to + 1e-9);
          expect(moved.to - moved.from).toBeGreaterThanOrEqual(20 - 1e-9);
        }
      },
    ),
  );
});

test('zooming keeps the place under the finger', () => {
  const view = { from: 200, to: 800 };
  const closer = zoomed(view, 2, 350, limits);
  expect((350 - closer.from) / (closer.to - closer.from)).toBeCloseTo((350 - 200) / 600, 12);
  expect(closer.to - closer.from).toBeCloseTo(300, 9);
});

test('a place out of view is brought into it, one in view moves nothing', () => {
  const view = { from: 200, to: 400 };
  expect(showing(view, 300, limits)).toBe(view);
  const shown = showing(view, 900, limits);
  expect(shown.from).toBeLessThan(900);
  expect(shown.to).toBeGreaterThan(900);
});

test('ruler lines keep their distance at every zoom and unit, long ones on round lengths', () => {
  fc.assert(
    fc.property(
      views,
      fc.constantFrom('mm' as const, 'in' as const, 'in-fraction' as const),
      fc.integer({ min: 320, max: 1600 }),
      (view, display, pixels) => {
        const perMm = pixels / (view.to - view.from);
        const ticks = rulerTicks(view, pixels, display);
        const gaps = ticks.slice(1).map((tick, i) => (tick.at - ticks[i]!.at) * perMm);
        for (const gap of gaps) expect(gap).toBeGreaterThanOrEqual(5 - 1e-6);
        const long = ticks.filter((tick) => tick.long);
        for (const [i, tick] of long.slice(1).entries())
          expect((tick.at - long[i]!.at) * perMm).toBeGreaterThanOrEqual(56 - 1e-6);
        if (display === 'mm') for (const tick of long) expect(Math.abs(tick.at % 10)).toBeCloseTo(0, 6);
      },
    ),
  );
});

test('labels in one row never overlap, and the first ones are kept', () => {
  const label = fc.record({
    x: fc.double({ min: 0, max: 400, noNaN: true }),
    width: fc.double({ min: 5, max: 60, noNaN: true }),
  });
  fc.assert(
    fc.property(fc.array(label, { minLength: 1, maxLength: 30 }), (unsorted) => {
      const labels = unsorted.toSorted((a, b) => a.x - b.x);
      const rows = labelRows(labels, 2);
      expect(rows[0]).toBe(0);
      for (const row of [0, 1]) {
        const inRow = labels.filter((_, i) => rows[i] === row);
        for (const [i, next] of inRow.slice(1).entries())
          expect(next.x - next.width / 2).toBeGreaterThanOrEqual(inRow[i]!.x + inRow[i]!.width / 2);
      }
    }),
  );
});
