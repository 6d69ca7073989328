import fc from 'fast-check';
import { expect, it } from 'vitest';
import { withGrowingGaps } from '../../src/plan/bend/growing_gaps.ts';

const gaps = (at: readonly number[]) => at.map((place, k) => place - (at[k - 1] ?? 0));

it('leaves gaps that grow as they are', () => {
  expect(withGrowingGaps([90, 190, 300, 430], false)).toEqual([90, 190, 300, 430]);
  expect(withGrowingGaps([90, 180, 270], true)).toEqual([90, 180, 270]);
});

it('makes a gap that shrinks equal to the one before it, both at their mean', () => {
  expect(gaps(withGrowingGaps([90, 210, 310, 440], false))).toEqual([90, 110, 110, 130]);
  // the first is held and long: none may be shorter, and the last place stays
  expect(gaps(withGrowingGaps([100, 180, 280, 420], true))).toEqual(
    [100, 100, 100, 120].map((gap) => expect.closeTo(gap, 9)),
  );
  // no room for that: the rest in equal gaps
  expect(gaps(withGrowingGaps([200, 260, 340, 380], true))).toEqual(
    [200, 60, 60, 60].map((gap) => expect.closeTo(gap, 9)),
  );
});

it('never shrinks, keeps the last place, and keeps a first one that is held, for any gaps', () => {
  fc.assert(
    fc.property(
      fc.array(fc.double({ min: 5, max: 300, noNaN: true }), { minLength: 1, maxLength: 14 }),
      fc.boolean(),
      (given, held) => {
        let place = 0;
        const at = given.map((gap) => (place += gap));
        const found = withGrowingGaps(at, held);
        expect(found.at(-1)).toBeCloseTo(at.at(-1)!, 6);
        if (held) expect(found[0]).toBe(at[0]);
        const kept = gaps(found);
        const room = given.length < 2 || kept[0]! * (given.length - 1) <= at.at(-1)! - at[0]! + 1e-9;
        for (let k = held && !room ? 2 : 1; k < kept.length; k++)
          expect(kept[k]!).toBeGreaterThanOrEqual(kept[k - 1]! - 0.0101);
      },
    ),
  );
});
