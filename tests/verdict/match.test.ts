import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type FoundPlace, type Matching, matchPlaces, type PlannedPlace } from '../../src/verdict/match.ts';

const mark = (value: number, u = 0.1): FoundPlace => ({ along: { value, u } });
const ring = (value: number, ringOuter: number, height: number): FoundPlace => ({
  along: { value, u: 0.1 },
  ringOuter: { value: ringOuter, u: 0.2 },
  height: { value: height, u: 0.2 },
});
const marks = (...at: number[]): PlannedPlace[] => at.map((value, i) => ({ id: `P${i}`, at: value }));

/** Found value per planned place, undefined where it is missing. */
const placed = (planned: PlannedPlace[], found: FoundPlace[], matching: Matching): (number | undefined)[] =>
  planned.map((_, i) => {
    const pair = matching.pairs.find((p) => p.planned === i);
    return pair && found[pair.found]!.along.value;
  });
const match = (planned: PlannedPlace[], found: FoundPlace[], blankLength = 1400) => {
  const matching = matchPlaces(planned, found, blankLength);
  return {
    placed: placed(planned, found, matching),
    extras: matching.extra.map((j) => found[j]!.along.value),
    matching,
  };
};

const rod = marks(11, 88, 183.5, 291, 412, 549, 703, 879, 1036);
const rings: PlannedPlace[] = [
  [88, 6, 5.4],
  [183.5, 6, 5.4],
  [291, 6, 5.8],
  [412, 7, 6.6],
  [549, 8, 8.2],
  [703, 10, 10.4],
  [879, 12, 12.6],
].map(([at, ringOuter, height], i) => ({ id: `G${i + 1}`, at: at!, ring: { ringOuter: ringOuter!, height: height! } }));
const ringsInPlace = rings.map((r) => ring(r.at, r.ring!.ringOuter, r.ring!.height));

describe('marks', () => {
  test('one missing, one misread by half an inch, one extra, all in one walk', () => {
    const found = [11.1, 88, 183.5, 412, 536.3, 641, 703.1, 879.1, 1035.8].map((v) => mark(v));
    const { placed: at, extras } = match(rod, found);
    expect(at).toEqual([11.1, 88, 183.5, undefined, 412, 536.3, 703.1, 879.1, 1035.8]);
    expect(extras).toEqual([641]);
  });
  test.each([10, -12.7, 25.4, -25.4, 100, -100])('one misread by %d mm is that mark, moved', (step) => {
    const found = rod.map((p, i) => mark(p.at + (i === 5 ? step : 0.2)));
    const { placed: at, extras } = match(rod, found);
    expect(at[5]).toBeCloseTo(549 + step, 9);
    expect(extras).toEqual([]);
  });
  test('a far mark is not paired just to have a pair', () => {
    const found = rod.filter((p) => p.at !== 549).map((p) => mark(p.at));
    const { placed: at, extras } = match(rod, [...found, mark(611)]);
    expect(at[5]).toBeUndefined();
    expect(extras).toEqual([611]);
  });
  test('two marks at one place: the nearer is the mark, the other is extra and named as its double', () => {
    const found = [...rod.map((p) => mark(p.at + 0.3)), mark(415.2)];
    const { extras, matching } = match(rod, found);
    expect(extras).toEqual([415.2]);
    expect(matching.doubled).toEqual([{ found: found.length - 1, planned: 4 }]);
  });
  test('ferrule wraps an inch apart, one of them missing, do not borrow from each other', () => {
    const planned = marks(300, 687.3, 712.7, 900);
    expect(match(planned, [mark(300), mark(712.5), mark(900)]).placed).toEqual([300, undefined, 712.5, 900]);
    expect(match(planned, [mark(300), mark(687.5), mark(900)]).placed).toEqual([300, 687.5, undefined, 900]);
  });
  test('read from the wrong end', () => {
    const found = rod.map((p) => mark(1400 - p.at + 0.3));
    const { placed: at, matching } = match(rod, found);
    expect(matching.countedFrom).toBe('butt');
    expect(at).toEqual(rod.map((p) => 1400 - p.at + 0.3));
  });
  test('everything 3 % too far', () => {
    const found = rod.map((p) => mark(1.03 * p.at));
    expect(match(rod, found).placed).toEqual(rod.map((p) => 1.03 * p.at));
  });
  test('a place no photo shows does not draw a stray mark to itself', () => {
    const planned = rod.map((p) => ({ ...p, seen: p.at !== 549 }));
    const found = rod.filter((p) => p.at !== 549).map((p) => mark(p.at));
    expect(match(planned, [...found, mark(565)]).placed[5]).toBeUndefined();
  });
  test('nothing found, nothing planned', () => {
    expect(match(rod, []).matching.missing).toHaveLength(rod.length);
    expect(match([], [mark(5)]).extras).toEqual([5]);
  });
});

describe('rings', () => {
  test('a ring 15 mm off, a missing one and an extra one', () => {
    const found = ringsInPlace.filter((_, i) => i !== 1).map((r) => (r.along.value === 412 ? ring(397, 7, 6.6) : r));
    const { placed: at, extras } = match(rings, [...found, ring(790, 10, 10.4)]);
    expect(at).toEqual([88, undefined, 291, 397, 549, 703, 879]);
    expect(extras).toEqual([790]);
  });
  test('two guides that changed places are found at each planned place', () => {
    const found = ringsInPlace.map((r, i) => (i === 4 ? ring(549.4, 10, 10.4) : i === 5 ? ring(702.8, 8, 8.2) : r));
    expect(match(rings, found).placed).toEqual([88, 183.5, 291, 412, 549.4, 702.8, 879]);
  });
  test('size settles which of two near rings belongs to the place', () => {
    const found = [...ringsInPlace.filter((_, i) => i !== 5), ring(699, 10, 10.4), ring(706, 6, 5.4)];
    const { placed: at, extras } = match(rings, found);
    expect(at[5]).toBe(699);
    expect(extras).toEqual([706]);
  });
  test('what the builder pointed out by hand goes where they said', () => {
    const found = [...ringsInPlace.filter((_, i) => i !== 5), { ...ring(640, 10, 10.4), forId: 'G6' }];
    expect(match(rings, found).placed[5]).toBe(640);
  });
});

describe('properties', () => {
  const gaps = fc.array(fc.double({ min: 45, max: 200, noNaN: true }), { minLength: 3, maxLength: 12 });
  const plannedOf = (widths: number[]) => {
    let at = 0;
    return marks(...widths.map((w) => (at += w)));
  };
  const anywhere = fc.array(fc.double({ min: 0, max: 1400, noNaN: true }), { maxLength: 14 });

  test('order is kept, nothing is used twice, nothing is lost', () => {
    fc.assert(
      fc.property(gaps, anywhere, (widths, values) => {
        const planned = plannedOf(widths);
        const { matching } = match(
          planned,
          values.map((v) => mark(v)),
        );
        const alongs = matching.pairs.map((p) => values[p.found]!);
        const ordered = matching.countedFrom === 'tip' ? alongs : alongs.toReversed();
        expect(ordered).toEqual(ordered.toSorted((a, b) => a - b));
        const seenFound = [...matching.pairs.map((p) => p.found), ...matching.extra].toSorted((a, b) => a - b);
        expect(seenFound).toEqual(values.map((_, i) => i));
        const seenPlanned = [...matching.pairs.map((p) => p.planned), ...matching.missing].toSorted((a, b) => a - b);
        expect(seenPlanned).toEqual(planned.map((_, i) => i));
      }),
      { numRuns: 200 },
    );
  });
  test('the order in which places were found does not matter', () => {
    fc.assert(
      fc.property(
        gaps,
        anywhere,
        fc.infiniteStream(fc.double({ min: 0, max: 1, noNaN: true })),
        (widths, values, keys) => {
          const planned = plannedOf(widths);
          const keyed = values.map((value) => ({ value, key: keys.next().value as number }));
          const shuffled = keyed.toSorted((a, b) => a.key - b.key).map((k) => k.value);
          const first = match(
            planned,
            values.map((v) => mark(v)),
          );
          const second = match(
            planned,
            shuffled.map((v) => mark(v)),
          );
          expect(second.placed).toEqual(first.placed);
          expect(second.extras).toEqual(first.extras);
        },
      ),
      { numRuns: 200 },
    );
  });
  test('nor where two of them would explain the whole by a shift as well', () => {
    const planned = marks(175.577, 270.621, 315.629);
    const [near, far] = [mark(1059.371), mark(1059.372)];
    expect(match(planned, [far, near]).placed).toEqual(match(planned, [near, far]).placed);
  });
  test('one shift of everything by up to 20 mm leaves every place with its own mark', () => {
    fc.assert(
      fc.property(gaps, fc.double({ min: -20, max: 20, noNaN: true }), (widths, shift) => {
        const planned = plannedOf(widths);
        const found = planned.map((p) => mark(p.at + shift));
        expect(match(planned, found, 3000).placed).toEqual(planned.map((p) => p.at + shift));
      }),
      { numRuns: 200 },
    );
  });
  test('marks laid within 2 mm stay with their places while any one is missing', () => {
    fc.assert(
      fc.property(
        gaps,
        fc.nat(),
        fc.infiniteStream(fc.double({ min: -2, max: 2, noNaN: true })),
        (widths, which, noise) => {
          const planned = plannedOf(widths);
          const gone = which % planned.length;
          const values = planned.map((p) => p.at + (noise.next().value as number));
          const found = values.filter((_, i) => i !== gone).map((v) => mark(v));
          expect(match(planned, found, 3000).placed).toEqual(values.map((v, i) => (i === gone ? undefined : v)));
        },
      ),
      { numRuns: 200 },
    );
  });
});
