import { describe, expect, it } from 'vitest';
import { layOutByBend } from '../../src/plan/bend/bend_layout.ts';
import type { BendLayoutCase } from '../../src/plan/bend/bend_layout_case.ts';
import { InputError } from '../../src/plan/input_error.ts';
import { layoutCase } from './bent_rod_cases.ts';

const spread = (values: readonly number[]) => Math.max(...values) - Math.min(...values);
const gaps = (at: readonly number[]) => at.slice(1).map((place, k) => place - at[k]!);

describe('layout by bend', () => {
  it.each<[string, BendLayoutCase]>([
    ['first held', layoutCase(8, { first: 90 })],
    ['last held', layoutCase(8, { last: 930 })],
    ['both held', layoutCase(8, { first: 90, last: 930 })],
    ['neither held', layoutCase(9)],
    ['underneath', layoutCase(7, { side: 'underneath', last: 930 })],
    ['a light load', layoutCase(12, { first: 90, load: { tension: 3, pullAngle: 90 } })],
  ])('turns the line by one angle at every guide that may move: %s', (_, layout) => {
    const { at, bend, shared, reached } = layOutByBend({ ...layout, gaps: 'free' });
    expect(reached).toBe(true);
    expect(shared).toHaveLength(
      layout.lineHeights.length - [layout.first, layout.last].filter((v) => v !== undefined).length,
    );
    expect(spread(shared.map((k) => bend.turns[k + 1]!))).toBeLessThan(1e-6);
    if (layout.first !== undefined) expect(at[0]).toBe(layout.first);
    if (layout.last !== undefined) expect(at.at(-1)).toBe(layout.last);
    expect(gaps([0, ...at, layout.clampAt]).every((gap) => gap > 0)).toBe(true);
  });

  it.each<[string, BendLayoutCase]>([
    ['first held', layoutCase(8, { first: 90 })],
    ['neither held', layoutCase(9)],
    ['underneath', layoutCase(7, { side: 'underneath', last: 930 })],
  ])('lets no gap shrink toward the butt unless it is told to: %s', (_, layout) => {
    const free = layOutByBend({ ...layout, gaps: 'free' });
    const kept = layOutByBend(layout);
    const shrinks = (at: readonly number[]) => gaps(gaps([0, ...at])).some((change) => change < -0.01);
    expect(shrinks(free.at)).toBe(true);
    expect(shrinks(kept.at)).toBe(false);
    expect(kept.reached).toBe(false);
    expect(kept.notes).toEqual([
      expect.stringContaining('some gaps would shrink toward the butt; they were kept from'),
    ]);
    expect(kept.at.at(-1)).toBeCloseTo(free.at.at(-1)!, 6);
    // the bend told is that of the places told
    const turns = kept.shared.map((k) => kept.bend.turns[k + 1]!);
    expect(kept.notes[0]).toContain(`${Math.min(...turns).toFixed(1)} to ${Math.max(...turns).toFixed(1)} degrees`);
    expect(spread(turns)).toBeLessThan(6);
  });

  it('says so where a held first gap leaves no room for gaps as long', () => {
    const { notes } = layOutByBend(layoutCase(12, { first: 90, load: { tension: 3, pullAngle: 90 } }));
    expect(notes[1]).toContain('The first gap is longer than the room leaves');
  });

  it('gives the smoothest of the layouts that turn alike: gaps do not grow and shrink in turn', () => {
    const { at } = layOutByBend(layoutCase(10, { first: 90, gaps: 'free' }));
    const between = gaps(at).slice(1);
    const changes = gaps(between).map(Math.sign);
    expect(changes.filter((sign, k) => k > 0 && sign !== changes[k - 1]).length).toBeLessThanOrEqual(1);
    for (const [k, gap] of between.slice(1).entries()) expect(Math.abs(Math.log(gap / between[k]!))).toBeLessThan(0.3);
  });

  it('shares the turning as asked', () => {
    const shares = [1, 1.2, 1.4, 1.6, 1.8, 2];
    const { bend, shared, reached } = layOutByBend(layoutCase(6, { first: 90, shares }));
    expect(reached).toBe(true);
    const units = shared.map((k) => bend.turns[k + 1]! / shares[k]!);
    expect(spread(units)).toBeLessThan(1e-6);
  });

  it('turns the line in all by the angle between pull and last stretch to the reel', () => {
    const { bend } = layOutByBend(layoutCase(8, { first: 90 }));
    const [outer, reel] = bend.linePoints.slice(-2);
    const last = (Math.atan2(outer!.y - reel!.y, outer!.x - reel!.x) * 180) / Math.PI;
    expect(bend.turns.reduce((sum, turn) => sum + turn, 0)).toBeCloseTo(last + 100, 6);
  });

  it('does not depend on the number of nodes to 0.1 mm', () => {
    for (const layout of [
      layoutCase(12, { first: 90 }),
      layoutCase(9),
      layoutCase(7, { side: 'underneath', last: 930 }),
    ]) {
      const fine = layOutByBend(layout, 1600).at;
      const worst = [100, 200, 400].map((nodes) =>
        Math.max(...layOutByBend(layout, nodes).at.map((place, k) => Math.abs(place - fine[k]!))),
      );
      expect(worst[0]).toBeLessThan(0.1);
      expect(worst[1]).toBeLessThan(0.01);
      expect(worst[2]).toBeLessThan(0.01);
    }
  });

  it('keeps gaps smooth and says so where equal turns cannot be had', () => {
    const { at, bend, shared, reached, notes } = layOutByBend(
      layoutCase(7, {
        side: 'underneath',
        first: 90,
        load: { tension: 20, pullAngle: 120 },
        reel: { at: 1250, height: 60 },
      }),
    );
    expect(reached).toBe(false);
    expect(notes).toHaveLength(1);
    expect(gaps([0, ...at, 1100]).every((gap) => gap > 0)).toBe(true);
    const turns = shared.map((k) => bend.turns[k + 1]!);
    expect(spread(turns) / Math.max(...turns)).toBeLessThan(0.2);
  });

  it.each<[string, Partial<BendLayoutCase>, string]>([
    ['no guides', { lineHeights: [] }, 'no guide to place'],
    ['shares for others', { shares: [1, 2] }, 'must be 5 numbers'],
    ['a share of nothing', { shares: [1, 1, 0, 1, 1] }, 'must be 5 numbers'],
    ['ends exchanged', { first: 900, last: 100 }, 'too short for 5 guides'],
    ['the last behind the hold', { last: 1150 }, 'between the tip and the place'],
    ['a reel before the hold', { reel: { at: 900, height: 20 } }, 'behind the place where the rod is held'],
  ])('refuses %s', (_, change, words) => {
    const run = () => layOutByBend(layoutCase(5, change));
    expect(run).toThrow(InputError);
    expect(run).toThrow(words);
  });
});
