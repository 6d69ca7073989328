import { describe, expect, test } from 'vitest';
import { bandLook, isPaper } from '../../../src/vision/finder/band_look.ts';
import type { ClassName } from '../../../src/vision/finder/sighting.ts';
import { cellsIn, shareOf } from '../../../src/vision/finder/strip_cells.ts';
import { blankOnPaper, paint } from '../../world/made_up_sightings.ts';
import { straightAxis } from '../../world/synthetic_blank.ts';

const axis = straightAxis(400, 1, 5, 8);
const grid = () => blankOnPaper(axis, { from: 100, to: 300 });
const radius = 3;

describe('a band across the blank', () => {
  const band = { from: 199.2, to: 200.8 };
  const painted = (...things: [ClassName, number, number][]) => {
    const classes = grid();
    for (const [name, along, half] of things) paint(classes, name, { along, across: 0, half });
    return bandLook(classes, band, radius);
  };
  test('is a mark where wax shows in it, whatever else of less account', () => {
    expect(painted(['wax', 200, 2])).toBe('mark');
    expect(painted(['thread', 200, 3], ['wax', 200, 0.5])).toBe('neither');
  });
  test('lies on the blank where nothing but blank shows round it', () => {
    expect(painted()).toBe('on-blank');
  });
  test('is covered where a hand or a tool shows in it or beside it', () => {
    expect(painted(['other', 200, 3])).toBe('covered');
    expect(painted(['other', 205, 3.2])).toBe('covered');
  });
  test('lies beside the blank where none shows next to it', () => {
    expect(painted(['shadow', 196, 3], ['shadow', 204, 3], ['other', 200, 1])).toBe('beside');
  });
  test.each<ClassName>(['thread', 'grip', 'tape'])('is neither where %s shows in it or beside it', (name) => {
    expect(painted([name, 200, 3])).toBe('neither');
    expect(painted([name, 205, 3.2])).toBe('neither');
  });
  test('nor at the blank’s end; and nothing is said of one that the photo does not show whole', () => {
    expect(painted(['paper', 196, 3])).toBe('neither');
    expect(bandLook(grid(), { from: 298, to: 299 }, radius)).toBeUndefined();
  });
});

test('a stretch of the blank’s line is paper where nothing lies in it', () => {
  const classes = grid();
  expect(isPaper(classes, { from: 200, to: 210 })).toBe(false);
  paint(classes, 'paper', { along: 205, across: 0, half: 8 });
  expect(isPaper(classes, { from: 200, to: 210 })).toBe(true);
  expect(isPaper(classes, { from: 295, to: 305 })).toBe(false);
});

test('the cells of a box are counted by what they show', () => {
  const classes = grid();
  const box = { along: { from: 196, to: 204 }, across: { from: -8, to: 8 } };
  const cells = cellsIn(classes, box, radius)!;
  expect(shareOf(cells, ['blank', 'paper'])).toBe(1);
  expect(shareOf(cells, ['blank'])).toBeGreaterThan(0.2);
  paint(classes, 'wax', { along: 200, across: 0, half: 20 });
  expect(shareOf(cellsIn(classes, box, radius)!, ['wax'])).toBe(1);
});
