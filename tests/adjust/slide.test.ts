import { describe, expect, test } from 'vitest';
import { isTold, joinedSlides, type Slide, undone } from '../../src/adjust/slide.ts';

const slide = (from: number, value: number, u = 0.1): Slide => ({ from, along: { value, u } });

test('a slide is told where it is no chance of its doubt, and large enough', () => {
  expect([-0.9, -0.36, 0.36, 0.9].every((value) => isTold({ value, u: 0.1 }))).toBe(true);
  expect([-0.29, 0, 0.1, 0.29].some((value) => isTold({ value, u: 0.1 }))).toBe(false);
  expect(isTold({ value: 0.3, u: 0.01 })).toBe(false);
  expect(isTold({ value: 1.4, u: 0.5 })).toBe(false);
});

describe('what is told beside slides told before', () => {
  test('counts with the one from the same view on, by its own doubt, and stands in line with the others', () => {
    const before = [slide(2, 1.2, 0.2), slide(4, -0.8)];
    const [first, second, ...none] = joinedSlides(before, slide(4, -0.5, 0.15));
    expect(first).toBe(before[0]);
    expect(second!.from).toBe(4);
    expect(second!.along.value).toBeCloseTo(-1.3, 12);
    expect(second!.along.u).toBe(0.15);
    expect(none).toEqual([]);
    expect(joinedSlides(before, slide(3, 0.9)).map(({ from }) => from)).toEqual([2, 3, 4]);
  });

  test('leaves none there where the two together are no larger than their doubt', () => {
    const before = [slide(1, 2, 0.25), slide(3, 0.7)];
    expect(joinedSlides(before, slide(1, -2.11, 0.27))).toEqual([before[1]]);
    expect(joinedSlides(before, slide(1, -1.4, 0.25))).toEqual([before[1]]);
    expect(joinedSlides(before, undone(before[0]!))).toEqual([before[1]]);
  });
});
