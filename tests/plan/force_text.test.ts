import { expect, it } from 'vitest';
import { gramsOfNewtons, readForce } from '../../src/plan/lengths/force_text.ts';

const grams = (text: string) => {
  const reading = readForce(text);
  return reading.ok ? gramsOfNewtons(reading.newtons) : Number.NaN;
};

it.each([
  ['150', 150],
  ['150 g', 150],
  ['0,5 kg', 500],
  ['8 oz', 226.796185],
  ['1 lb', 453.59237],
  ['1 1/2 lb', 680.388555],
  ['1½ lb', 680.388555],
  ['1 lb 4 oz', 566.9904625],
  ['2lbs', 907.18474],
  ['5 N', 509.85810649],
  ['5 newtons', 509.85810649],
])('reads %j as the weight of %d grams (pound exactly 453.59237 g; standard gravity)', (text, expected) =>
  expect(grams(text)).toBeCloseTo(expected, 6),
);

it.each(['', 'lb', '-5 N', '0', '5 stone', '1 lb 4', '4 oz 1 lb', '5 5 N', '5 N or so', '1/0 lb'])(
  'refuses %j and says why',
  (text) => {
    const reading = readForce(text);
    expect(reading.ok).toBe(false);
    expect(!reading.ok && reading.why).toContain('is not a weight or force');
  },
);
