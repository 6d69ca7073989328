import { describe, expect, test } from 'vitest';
import { edgeWorth, litness } from '../../src/vision/edge_worth.ts';
import type { LaneEdge } from '../../src/vision/lane_edges.ts';
import type { Colour } from '../../src/vision/strip_relief.ts';

const paper: Colour = [230, 128, 128];

/** Two edges of a stripe of these colours inside either of them. */
const stripe = (low: Colour, high: Colour, slope = 20): [LaneEdge, LaneEdge] => [
  { v: -2, d: -12, slope: -slope, below: paper, above: low },
  { v: 2, d: 12, slope, below: high, above: paper },
];
const of = (low: Colour, high: Colour, finish: 'light' | 'dark', slope?: number) =>
  edgeWorth(...stripe(low, high, slope), paper, finish);

describe('what two edges speak for a blank between them', () => {
  test('sharp ones more than faint ones', () => {
    expect(of([40, 128, 128], [40, 128, 128], 'dark', 30)).toBeGreaterThan(
      1.5 * of([40, 128, 128], [40, 128, 128], 'dark', 4),
    );
  });
  test('a light blank is lit on one side at least and not black on the other, its hard shadow dark on one or both', () => {
    expect(litness(200, 100, 230)).toBe(1);
    expect(litness(200, 60, 230)).toBeLessThan(0.2);
    expect(litness(50, 45, 230)).toBeLessThan(0.1);
    expect(of([210, 124, 130], [90, 126, 129], 'light')).toBeGreaterThan(
      10 * of([45, 128, 128], [50, 128, 128], 'light'),
    );
  });
  test('a coloured blank has its colour on both sides, a stripe of blank and shadow on one', () => {
    const olive: Colour = [80, 100, 120];
    expect(of(olive, olive, 'dark')).toBeGreaterThan(2 * of(olive, [50, 128, 128], 'dark'));
  });
  test('an odd pair counts for a light blank, a little less', () => {
    const [low, high] = stripe([200, 124, 130], [200, 124, 130]);
    const odd = edgeWorth({ ...low, slope: 20 }, high, paper, 'light');
    expect(odd).toBeGreaterThan(0);
    expect(odd).toBeLessThan(edgeWorth(low, high, paper, 'light'));
  });
});
