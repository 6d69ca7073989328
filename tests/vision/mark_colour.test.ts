import { expect, test } from 'vitest';
import { nameColour } from '../../src/vision/mark_colour.ts';
import type { Colour } from '../../src/vision/strip_relief.ts';

/** Luma, Cb and Cr of red, green and blue levels (ITU-R BT.601, full range). */
const coded = (r: number, g: number, b: number): Colour => {
  const luma = 0.299 * r + 0.587 * g + 0.114 * b;
  return [luma, 128 + 0.564 * (b - luma), 128 + 0.713 * (r - luma)];
};
const paper = coded(235, 235, 235);
const black = coded(28, 28, 30);
const light = coded(190, 188, 180);

const markers: [string, Colour, Colour][] = [
  ['white', coded(225, 226, 224), black],
  ['silver', coded(120, 121, 122), black],
  ['black', coded(25, 25, 26), light],
  ['yellow', coded(220, 200, 40), black],
  ['orange', coded(225, 110, 30), black],
  ['red', coded(190, 30, 35), black],
  ['blue', coded(35, 60, 190), light],
  ['green', coded(40, 150, 60), black],
  ['tan', coded(205, 180, 145), black],
];

test.each(markers)('a %s marker is called by its colour', (name, colour, ground) => {
  expect(nameColour(colour, ground, paper)).toBe(name);
});

test.each(markers)(
  'a %s marker keeps its name in dimmer and in warmer light, which the paper shows too',
  (name, colour, ground) => {
    const dim = (c: Colour): Colour => [c[0] * 0.7, 128 + 0.7 * (c[1] - 128), 128 + 0.7 * (c[2] - 128)];
    const warm = (c: Colour): Colour => [c[0], c[1] - 6, c[2] + 5];
    for (const lit of [dim, warm, (c: Colour) => warm(dim(c))])
      expect(nameColour(lit(colour), lit(ground), lit(paper))).toBe(name);
  },
);
