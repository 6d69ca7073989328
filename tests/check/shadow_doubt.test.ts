import { describe, expect, it } from 'vitest';
import type { BlankSolution } from '../../src/adjust/blank_adjustment.ts';
import { doubtShadow } from '../../src/check/shadow_doubt.ts';
import { classNames, type StripSeen } from '../../src/vision/finder/sighting.ts';

/** Three cells of 1.2 mm wide. */
const axis = {
  from: 0,
  step: 100,
  points: Array.from({ length: 7 }, (_, i) => [100 * i, 0, 0]),
  radii: Array.from({ length: 7 }, () => 1.8),
};
const blank = {
  axis,
  tipSigma: 0.1,
  axisSigma: { step: 100, side: [0.05, 0.05, 0.05, 0.05, 0.05], height: [0.1, 0.1, 0.1, 0.1, 0.1] },
  grip: 400,
} as unknown as BlankSolution;

/**
 * A photo whose cells of blank lie `aside` mm (a whole number of cells) off the axis, up to `to` mm from the tip, and
 * `more` cells farther out than the blank is wide.
 */
function photo(aside: number, to = 600, more = 0): StripSeen {
  const [rows, columns, step] = [25, 500, 1.2];
  const classes = new Uint8Array(rows * columns);
  for (let column = 0; column < columns; column++) {
    const row = (rows - 1) / 2 + (column * step < to ? Math.round(aside / step) : 0);
    for (let k = -1; k <= 1 + more; k++) classes[(row + k) * columns + column] = classNames.indexOf('blank');
  }
  const grid = { from: 0, across: (-step * (rows - 1)) / 2, step, rows, columns, classes };
  return {
    view: 0,
    covers: { from: 0, to: 600 },
    pixelsPerMm: 4,
    sightings: [],
    classes: { ...grid, certainty: new Uint8Array(rows * columns).fill(255) },
  };
}

describe('a blank that may be its shadow', () => {
  it('is believed where the finder sees it on the axis', () => {
    expect(doubtShadow(blank, [photo(0), photo(0)], 'dark')).toEqual({ blank, notes: [] });
  });

  it('is doubted by as much as the finder sees it beside the axis, and that is said', () => {
    const doubted = doubtShadow(blank, [photo(2.4), photo(2.4)], 'dark');
    // its end the finder bears out by itself
    expect(doubted.blank.tipSigma).toBe(0.1);
    expect(doubted.blank.axisSigma.side[0]).toBeCloseTo(Math.hypot(0.05, 2.4), 6);
    expect(doubted.notes[0]).toContain('2.4 mm');
  });

  it('is doubted by less than a cell where the middle of many says so', () => {
    const every = (nth: number) => {
      const [aside, straight] = [photo(1.2), photo(0)];
      const { classes, columns } = aside.classes;
      for (let i = 0; i < classes.length; i++) if ((i % columns) % nth !== 0) classes[i] = straight.classes.classes[i]!;
      return aside;
    };
    const doubted = doubtShadow(blank, [every(2)], 'dark');
    expect(doubted.blank.axisSigma.side[2]).toBeCloseTo(Math.hypot(0.05, 0.6), 1);
    expect(doubted.notes[0]).toContain('0.6 mm');
    expect(doubtShadow(blank, [every(4)], 'dark').blank).toBe(blank);
  });

  it('is doubted only on the stretch where the finder sees it aside, and a little beyond', () => {
    const { axisSigma } = doubtShadow(blank, [photo(1.2, 200)], 'dark').blank;
    for (const side of axisSigma.side.slice(0, 3)) expect(side).toBeCloseTo(Math.hypot(0.05, 1.2), 6);
    expect(axisSigma.side.slice(3)).toEqual([0.05, 0.05]);
  });

  it('is believed where the finder takes the edge of its shadow for blank as well', () => {
    expect(doubtShadow(blank, [photo(0, 600, 2), photo(0, 600, 1)], 'dark').notes).toEqual([]);
  });

  it('is believed where thread or tape lies on it: what is called blank beside that is its edge or its shadow', () => {
    const wrapped = photo(2.4);
    const { classes, columns, rows } = wrapped.classes;
    const middle = ((rows - 1) / 2) * columns;
    classes.fill(classNames.indexOf('thread'), middle, middle + columns);
    expect(doubtShadow(blank, [wrapped], 'dark').notes).toEqual([]);
  });

  it('one photo against two is no doubt', () => {
    expect(doubtShadow(blank, [photo(2.4), photo(0), photo(0)], 'dark').notes).toEqual([]);
  });

  it('of a light blank’s height the outlines of several photos are the better witness, of one photo not', () => {
    const several = doubtShadow(blank, [photo(2.4), photo(2.4)], 'light');
    expect(several.blank.axisSigma.side[0]).toBeCloseTo(Math.hypot(0.05, 2.4), 6);
    expect(several.blank.axisSigma.height).toEqual(blank.axisSigma.height);
    expect(several.notes).toHaveLength(1);
    const one = doubtShadow(blank, [photo(-2.4)], 'light');
    expect(one.blank.axisSigma.height[0]).toBeCloseTo(Math.hypot(0.1, 1.2), 6);
    expect(one.notes).toHaveLength(1);
  });
});
