import { describe, expect, test } from 'vitest';
import { smoothWays, type WayPoint } from '../../src/vision/smooth_ways.ts';
import { seededNormal } from '../world/seeded_random.ts';

/** A blank lying a little bent, and its shadow that leaves it toward the butt; mm. */
const blank = (t: number) => 2 + 0.006 * t - (4 * 3 * (t * (1200 - t))) / 1200 ** 2;
const shadow = (t: number) => blank(t) + 0.5 + 0.006 * t;

const pointsOn = (way: (t: number) => number, [from, to]: readonly [number, number], seed = 1): WayPoint[] => {
  const normal = seededNormal(seed);
  return Array.from({ length: Math.floor((to - from) / 4) }, (_, i) => {
    const t = from + 4 * i;
    return { t, middle: way(t) + 0.15 * normal(), worth: 0.6 };
  });
};

const whole = [0, 1200] as const;
const all = [...pointsOn(blank, whole, 2), ...pointsOn(shadow, whole, 3)];
const off = (way: (t: number) => number, other: (t: number) => number) =>
  Math.max(...[50, 300, 600, 900, 1150].map((t) => Math.abs(way(t) - other(t))));

describe('smooth ways along the lane', () => {
  test('a way with no kink is left as it is, bent as it may be', () => {
    expect(smoothWays(pointsOn(blank, whole), all)).toEqual([]);
    expect(
      smoothWays(
        pointsOn((t) => 4e-5 * (t - 600) ** 2, whole),
        all,
      ),
    ).toEqual([]);
  });

  test('one that goes along the shadow here and along the blank there is two', () => {
    const kinked = [...pointsOn(shadow, [0, 560]), ...pointsOn(blank, [600, 900]), ...pointsOn(shadow, [940, 1200])];
    const ways = smoothWays(kinked, all);
    expect(Math.min(...ways.map((way) => off(way, blank)))).toBeLessThan(0.4);
    expect(Math.min(...ways.map((way) => off(way, shadow)))).toBeLessThan(0.4);
    for (const [i, way] of ways.entries())
      for (const other of ways.slice(0, i)) expect(off(way, other)).toBeGreaterThan(0.7);
  });

  test('what bends as no blank does is none', () => {
    const ways = smoothWays(
      pointsOn((t) => 12 * Math.sin(t / 150), whole),
      pointsOn((t) => 12 * Math.sin(t / 150), whole),
    );
    for (const way of ways) expect(Math.abs(way(640) - 2 * way(600) + way(560)) / 40 ** 2).toBeLessThan(1e-4);
  });

  test('a few points or a short way say nothing', () => {
    expect(smoothWays(all.slice(0, 5), all)).toEqual([]);
    expect(smoothWays(pointsOn(blank, [0, 200]), all)).toEqual([]);
    expect(smoothWays([], [])).toEqual([]);
  });
});
