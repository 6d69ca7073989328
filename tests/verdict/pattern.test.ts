import { describe, expect, test } from 'vitest';
import type { PlacedItem } from '../../src/verdict/offset_models.ts';
import { findPatterns, type Pattern } from '../../src/verdict/pattern.ts';
import { seededNormal } from '../world/seeded_random.ts';

const planned = [11, 88, 183.5, 291, 412, 549, 703, 879, 1036];
const blankLength = 1288;
const shared = { scale: 2e-4, tip: 0.05 };

const items = (offset: (at: number, index: number) => number): PlacedItem[] =>
  planned.map((at, i) => ({ id: `P${i}`, at, found: at + offset(at, i), u: 0.05 }));
const find = (offset: (at: number, index: number) => number): Pattern[] =>
  findPatterns(items(offset), blankLength, shared);
/** How often, of `runs` made-up rods, exactly these kinds are named. */
function share(runs: number, kinds: string[], make: () => (at: number, index: number) => number): number {
  let hits = 0;
  for (let k = 0; k < runs; k++) {
    const named = find(make()).map((p) => p.kind);
    if (named.toSorted().join() === kinds.toSorted().join()) hits++;
  }
  return hits / runs;
}

describe('one cause at a time, marks laid to 0.3 mm', () => {
  const normal = seededNormal(1);
  const scatter = () => 0.3 * normal();
  test('one shift is named with its figure', () => {
    const [pattern, ...others] = find(() => -3 + scatter());
    expect(others).toEqual([]);
    if (pattern?.kind !== 'shift') throw new Error('no shift named');
    expect(Math.abs(pattern.value + 3)).toBeLessThan(3 * pattern.u);
    expect(pattern.u).toBeLessThan(0.25);
    expect(share(50, ['shift'], () => () => 2 + scatter())).toBeGreaterThan(0.9);
  });
  test('growth in proportion is named with its figure', () => {
    const [pattern, ...others] = find((at) => 0.012 * at + scatter());
    expect(others).toEqual([]);
    if (pattern?.kind !== 'growth') throw new Error('no growth named');
    expect(Math.abs(pattern.value - 0.012)).toBeLessThan(3 * pattern.u);
    expect(pattern.u).toBeLessThan(0.0006);
    expect(share(50, ['growth'], () => (at) => -0.008 * at + scatter())).toBeGreaterThan(0.9);
  });
  test('errors that add up are named when the walk is plain', () => {
    const steps = [1.9, 2.2, -0.8, 2.4, -2.7, -2.1, -1.6, 2.5, 2.2];
    let sum = 0;
    const walk = steps.map((s) => (sum += s));
    const [pattern, ...others] = find((_, i) => walk[i]!);
    expect(others).toEqual([]);
    if (pattern?.kind !== 'accumulating') throw new Error('no adding-up named');
    expect(pattern.step).toBeCloseTo(Math.sqrt(steps.reduce((t, s) => t + s * s, 0) / steps.length), 6);
  });
  test('a random walk is called by its own name or left alone, hardly ever by another', () => {
    const walk = () => {
      let sum = 0;
      const at = planned.map(() => (sum += 2 * normal()));
      return (_: number, i: number) => at[i]! + 0.2 * normal();
    };
    const own = share(200, ['accumulating'], walk);
    expect(own).toBeGreaterThan(0.25);
    expect(own + share(200, [], walk)).toBeGreaterThan(0.93);
  }, 60_000);
  test.each([10, -10, 12.7, -12.7, 25.4, -25.4, 100, -100])('one mark read wrong by %d mm', (step) => {
    const [pattern, ...others] = find((_, i) => (i === 5 ? step + 0.1 : 0.2 * Math.sin(7 * i)));
    expect(others).toEqual([]);
    expect(pattern).toMatchObject({ kind: 'misread', id: 'P5', length: Math.abs(step) });
  });
  test('one mark that merely slipped is not called a misreading', () => {
    expect(share(100, [], () => (_, i) => (i === 5 ? 6 : 0) + scatter())).toBeGreaterThan(0.97);
    expect(share(100, [], () => (_, i) => (i === 5 ? -17 : 0) + scatter())).toBeGreaterThan(0.97);
  });
  test('counted from the wrong end', () => {
    expect(find((at) => blankLength - 2 * at + scatter()).map((p) => p.kind)).toEqual(['wrong-end']);
    expect(find((at) => blankLength - 2 * at + 4 + scatter()).map((p) => p.kind)).toEqual(['wrong-end']);
  });
});

describe('two causes at once', () => {
  const normal = seededNormal(2);
  const scatter = () => 0.3 * normal();
  test('a shift and one misreading', () => {
    expect(share(50, ['shift', 'misread'], () => (_, i) => 2 + (i === 5 ? 12.7 : 0) + scatter())).toBeGreaterThan(0.8);
  });
  test('growth and one misreading', () => {
    expect(
      share(50, ['growth', 'misread'], () => (at, i) => 0.01 * at + (i === 5 ? 25.4 : 0) + scatter()),
    ).toBeGreaterThan(0.9);
  });
  test('a shift and growth', () => {
    const found = find((at) => -3 + 0.01 * at + scatter());
    expect(found.map((p) => p.kind)).toEqual(['shift', 'growth']);
    const [shift, growth] = found;
    if (shift?.kind !== 'shift' || growth?.kind !== 'growth') throw new Error('not both named');
    expect(Math.abs(shift.value + 3)).toBeLessThan(3 * shift.u);
    expect(Math.abs(growth.value - 0.01)).toBeLessThan(3 * growth.u);
  });
  test('two misreadings', () => {
    const two = () => (_: number, i: number) => (i === 3 ? -25.4 : i === 6 ? 10 : 0) + scatter();
    expect(share(50, ['misread', 'misread'], two)).toBeGreaterThan(0.85);
  });
});

describe('nothing is named without reason', () => {
  test('noise alone: fewer than 1 in 100 false alarms, for steady and unsteady hands', () => {
    const normal = seededNormal(3);
    for (const spread of [0.1, 0.3, 0.7, 1.5])
      expect(share(250, [], () => () => spread * normal())).toBeGreaterThan(0.99);
  }, 60_000);
  test('growth that the measured scale itself may be wrong by is not blamed on the tape', () => {
    const grown = items((at) => 0.004 * at);
    expect(findPatterns(grown, blankLength, shared).map((p) => p.kind)).toEqual(['growth']);
    expect(findPatterns(grown, blankLength, { ...shared, scale: 0.004 })).toEqual([]);
  });
  test('a shift that the tip itself may be wrong by is not blamed on the hook', () => {
    const shifted = items(() => 2);
    expect(findPatterns(shifted, blankLength, shared).map((p) => p.kind)).toEqual(['shift']);
    expect(findPatterns(shifted, blankLength, { ...shared, tip: 2 })).toEqual([]);
  });
  test('too few places say nothing, and the order they come in does not matter', () => {
    expect(findPatterns(items(() => 5).slice(0, 2), blankLength, shared)).toEqual([]);
    const list = items((at, i) => 0.01 * at + 0.1 * Math.sin(i));
    expect(findPatterns(list.toReversed(), blankLength, shared)).toEqual(findPatterns(list, blankLength, shared));
  });
});
