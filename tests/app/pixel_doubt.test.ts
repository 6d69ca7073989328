import { expect, test } from 'vitest';
import { pixelDoubt, pixelDoubtWords, usualSide } from '../../src/app/coverage/pixel_doubt.ts';

test('half the pixels along a side, twice the doubt; more pixels than usual lessen nothing', () => {
  expect(pixelDoubt(usualSide / 2, usualSide)).toBe(2);
  expect(pixelDoubt(2 * usualSide, usualSide)).toBe(1);
});

test.each([
  [4032, undefined],
  [3840, undefined],
  [2560, 'half-again'],
  [1920, 'twice'],
  [1280, 'three'],
  [640, 'more'],
] as const)('a picture %d pixels long: %s', (side, words) => {
  expect(pixelDoubtWords(side, usualSide)).toBe(words);
});
