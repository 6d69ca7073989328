import { expect, test } from 'vitest';
import type { Report } from '../src/verdict/report.ts';
import { findHabits, habitSentence, offsetsOf } from '../src/verdict/habit.ts';
import { seededNormal } from './seeded_random.ts';

const rod = (...offsets: number[]) => ({ stage: 'marks' as const, offsets });

test('the same shift on rod after rod is a habit, with its side and size', () => {
  const habits = findHabits([rod(0.5, 0.4, 0.6, 0.5), rod(0.4, 0.4, 0.3, 0.5), rod(0.5, 0.6, 0.4, 0.5)]);
  expect(habits).toEqual([{ stage: 'marks', mean: expect.closeTo(0.4667, 3), rods: 3 }]);
  expect(habitSentence(habits[0]!, 'mm')).toBe('Your marks sit 0.5 mm toward the butt on average, over 3 rods.');
});

test('one rod with many places is no habit, nor are rods that disagree, nor a shift too small to matter', () => {
  expect(findHabits([rod(...Array.from({ length: 20 }, () => 0.5))])).toEqual([]);
  expect(findHabits([rod(0.9, 0.9), rod(-0.7, -0.7), rod(0.5, 0.5)])).toEqual([]);
  expect(findHabits([rod(0.1, 0.1), rod(0.11, 0.11), rod(0.09, 0.09)])).toEqual([]);
});

test('builders without a habit are told of one about once in twenty', () => {
  // 0.4 mm from rod to rod
  const normal = seededNormal(7);
  let told = 0;
  for (let i = 0; i < 4000; i++) told += findHabits(Array.from({ length: 5 }, () => rod(0.4 * normal()))).length;
  expect(told / 4000).toBeLessThan(0.06);
  expect(told / 4000).toBeGreaterThan(0.02);
});

test('a blunder does not make a habit, and a rod with few places does not count', () => {
  const item = (value: number) => ({ planned: 100, along: { value: 100 + value, expanded: 0.2 } });
  const report = (...offsets: number[]) => ({ stage: 'rings', items: offsets.map(item) }) as unknown as Report;
  expect(offsetsOf(report(0.1, 0.2, 12.7, 0.3, 0.2))?.offsets).toHaveLength(4);
  expect(offsetsOf(report(0.1, 0.2, 0.3))).toBeUndefined();
});
