import { describe, expect, test } from 'vitest';
import { bandLook, isBareOfGuide, isBareOfMark, isPaper } from '../../../src/vision/finder/bare_blank.ts';
import type { ClassName } from '../../../src/vision/finder/sighting.ts';
import { blankOnPaper, paint } from '../../world/made_up_sightings.ts';
import { straightAxis } from '../../world/synthetic_blank.ts';

const axis = straightAxis(400, 1, 5, 8);
const grid = () => blankOnPaper(axis, { from: 100, to: 300 });
const radius = 3;
const guideBox = { along: { from: 180, to: 220 }, across: { from: -8, to: 14 } };
const markBox = { along: { from: 196, to: 204 }, across: { from: -radius, to: radius } };

describe('bare of a guide', () => {
  test('blank on paper is', () => {
    expect(isBareOfGuide(grid(), guideBox, radius)).toBe(true);
  });

  test.each<ClassName>(['tape', 'thread', 'frame', 'ring', 'wire', 'grip', 'other'])(
    'with %s there it is not',
    (name) => {
      const classes = grid();
      paint(classes, name, { along: 210, across: 4, half: 2 });
      expect(isBareOfGuide(classes, guideBox, radius)).toBe(false);
    },
  );

  test('a shadow or a printed line beside it, or a mark on it, does not hide a guide', () => {
    const classes = grid();
    paint(classes, 'shadow', { along: 200, across: 8, half: 3 });
    paint(classes, 'line', { along: 190, across: -7, half: 1 });
    paint(classes, 'wax', { along: 200, across: 0, half: 1 });
    expect(isBareOfGuide(classes, guideBox, radius)).toBe(true);
  });

  test('nor one elsewhere', () => {
    const classes = grid();
    paint(classes, 'ring', { along: 240, across: 4, half: 3 });
    expect(isBareOfGuide(classes, guideBox, radius)).toBe(true);
  });

  test('where the map is not sure, or the photo ends, nothing is said to be bare', () => {
    const unsure = grid();
    unsure.certainty.fill(140);
    expect(isBareOfGuide(unsure, guideBox, radius)).toBe(false);
    const cut = grid();
    cut.certainty[(cut.rows - 27) * cut.columns + 100] = 0;
    expect(isBareOfGuide(cut, guideBox, radius)).toBe(false);
    expect(isBareOfGuide(grid(), { ...guideBox, along: { from: 290, to: 330 } }, radius)).toBe(false);
  });
});

describe('bare of a mark', () => {
  test('blank is, a mark is not, tape may hide one', () => {
    expect(isBareOfMark(grid(), markBox, radius)).toBe(true);
    for (const name of ['wax', 'tape'] as const) {
      const classes = grid();
      paint(classes, name, { along: 200, across: 0, half: 1 });
      expect(isBareOfMark(classes, markBox, radius)).toBe(false);
    }
  });
});

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
