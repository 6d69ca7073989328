import { describe, expect, test } from 'vitest';
import { isBareOfGuide, isBareOfMark } from '../../../src/vision/finder/bare_blank.ts';
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
