import { describe, expect, test } from 'vitest';
import { edgeWorth, litness, worthByColour } from '../../src/vision/edge_worth.ts';
import { type LaneEdge, strongestColour } from '../../src/vision/lane_edges.ts';
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
  test('where the walk meets a coloured blank, its colourless shadow is worth less, and specks of colour change nothing', () => {
    const along = (from: number, to: number, blue: number) => {
      const line = (level: number) => Float32Array.from({ length: 90 }, (_, i) => (i >= from && i < to ? level : 128));
      return strongestColour({ first: -45, blue: line(blue), red: line(128) }, paper);
    };
    const yellow = along(40, 52, 90);
    expect(yellow).toBeCloseTo(38, 6);
    const [blank, shadow]: Colour[] = [
      [150, 92, 130],
      [110, 133, 126],
    ];
    expect(worthByColour(blank!, blank!, paper, yellow)).toBe(1);
    expect(worthByColour(shadow!, shadow!, paper, yellow)).toBeLessThan(0.5);
    // a speck two pixels wide, and a blank with no colour of its own
    expect(worthByColour(shadow!, shadow!, paper, along(40, 42, 90))).toBe(1);
    expect(worthByColour(shadow!, shadow!, paper, along(40, 52, 120))).toBe(1);
    // where the photo shows nothing there is no colour
    expect(along(0, 40, Number.NaN)).toBe(0);
  });
  test('an odd pair counts for a light blank, a little less', () => {
    const [low, high] = stripe([200, 124, 130], [200, 124, 130]);
    const odd = edgeWorth({ ...low, slope: 20 }, high, paper, 'light');
    expect(odd).toBeGreaterThan(0);
    expect(odd).toBeLessThan(edgeWorth(low, high, paper, 'light'));
  });
});
