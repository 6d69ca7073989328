import { describe, expect, test } from 'vitest';
import {
  type BandSeen,
  bandsAlone,
  groupBands,
  solveBands,
  ties,
  type ViewsKnown,
} from '../../src/adjust/band_problem.ts';

const band = (view: number, along: number, more: Partial<BandSeen> = {}): BandSeen => ({
  view,
  along,
  u: 0.05,
  width: 1.5,
  perHeight: 0,
  clear: true,
  ...more,
});
const known = (views: number): ViewsKnown => ({
  reading: 0.08,
  drift: Array(views).fill(0.1),
  heightSigma: () => 0.5,
  covers: Array(views).fill({ from: 0, to: 1000 }),
  length: 1000,
});

describe('bands joined over the views', () => {
  test('are those that lie together, one a view, the nearest first', () => {
    const groups = groupBands([band(0, 100), band(1, 100.3), band(1, 100.8), band(2, 250), band(0, 250.2)], []);
    expect(groups.map((group) => group.map(({ view, along }) => [view, along]))).toEqual([
      [
        [0, 100],
        [1, 100.3],
      ],
      [[1, 100.8]],
      [
        [2, 250],
        [0, 250.2],
      ],
    ]);
  });

  test('that differ much in width are not one band', () => {
    expect(groupBands([band(0, 100), band(1, 100.2, { width: 4 })], []).length).toBe(2);
  });

  test('lie apart until a slide is supposed that lays them together', () => {
    const slid = [band(0, 100), band(1, 104), band(0, 300), band(1, 304)];
    expect(groupBands(slid, []).length).toBe(4);
    expect(groupBands(slid, [{ from: 1, about: 4 }]).length).toBe(2);
  });
});

describe('bands that one side of a slide alone shows', () => {
  const groups = (bands: BandSeen[]) => groupBands(bands, []);
  const alone = (bands: BandSeen[], views = known(2)) => bandsAlone(groups(bands), [], 1, views);

  test('count where the other side’s photos ought to show them, and not near the end of what those show', () => {
    expect(alone([band(0, 500)])).toBe(1);
    expect(alone([band(0, 500), band(1, 500.1)])).toBe(0);
    expect(alone([band(0, 500, { clear: false })])).toBe(0);
    const short = {
      ...known(2),
      covers: [
        { from: 0, to: 1000 },
        { from: 0, to: 500 + ties.inside },
      ],
    };
    expect(alone([band(0, 500)], short)).toBe(0);
    expect(alone([band(0, 499)], short)).toBe(1);
  });
});

describe('what all bands say together', () => {
  const places = [100, 260, 410, 590, 740, 880];

  test('a slide supposed about right comes out as it was, better known than guessed', () => {
    const bands = places.flatMap((at) => [band(0, at), band(1, at), band(2, at + 3.2), band(3, at + 3.2)]);
    const { slides, cost } = solveBands(bands, known(4), [{ from: 2, about: 3 }]);
    expect(Math.abs(slides[0]!.along.value - 3.2)).toBeLessThan(3 * slides[0]!.along.u);
    expect(slides[0]!.along.u).toBeLessThan(0.2);
    expect([slides[0]!.bands, slides[0]!.alone]).toEqual([6, 0]);
    expect(cost).toBeLessThan(solveBands(bands, known(4), [{ from: 2, about: -6 }]).cost);
  });

  test('an axis taken too low is told by how the bands move from view to view', () => {
    const lift = 0.4;
    const bands = places.flatMap((at) =>
      [-0.5, 0.5].map((perHeight, view) => band(view, at - perHeight * lift, { perHeight })),
    );
    const { heights } = solveBands(bands, known(2), []);
    expect(heights).toHaveLength(places.length);
    for (const { value, u } of heights) {
      expect(Math.abs(value - lift)).toBeLessThan(3 * u);
      expect(u).toBeLessThan(0.5);
    }
  });

  test('views that look alike at a band say nothing of its height, and a stray is left out', () => {
    const bands = places.flatMap((at) => [band(0, at), band(1, at)]);
    expect(solveBands(bands, known(2), []).heights).toEqual([]);
    const clean = places.flatMap((at) => [-0.5, 0.5, 0.4].map((perHeight, view) => band(view, at, { perHeight })));
    const stray = [...clean.slice(0, -1), { ...clean.at(-1)!, along: clean.at(-1)!.along + 0.8 }];
    const { heights } = solveBands(stray, known(3), []);
    expect(Math.max(...heights.map(({ value }) => Math.abs(value)))).toBeLessThan(0.4);
  });
});
