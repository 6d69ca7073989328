import { readFile } from 'node:fs/promises';
import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { hangTestDoubt, refuseImpossibleDrops } from '../../src/plan/bend/hung_weight.ts';
import { dropsUnderWeight } from '../../src/plan/bend/hang_measurement.ts';
import type { Stiffness } from '../../src/plan/bend/stiffness.ts';
import { InputError } from '../../src/plan/input_error.ts';
import { layOut } from '../../src/plan/layouts/layout.ts';
import { parseLayout } from '../../src/plan/layouts/layout_file.ts';

const file = await readFile(new URL('../../fixtures/layouts/bend.json', import.meta.url), 'utf8');

/** What laying out comes to with something of the file's hang test changed: its "put right" findings, or why not. */
function said(change: { grams?: number; drops?: number[] }): string {
  const spec = JSON.parse(file);
  const { hangTest } = spec.layout.rod;
  if (change.grams !== undefined) hangTest.grams = change.grams;
  for (const [k, drop] of (change.drops ?? []).entries()) hangTest.drops[k].drop = drop;
  try {
    const { findings } = layOut(parseLayout(JSON.stringify(spec)));
    return findings.flatMap(({ weight, text }) => (weight === 'fault' ? [text] : [])).join(' ');
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
}

describe('a hang test with a slip in it is named, and not the load', () => {
  it.each<[string, { grams?: number; drops?: number[] }, RegExp]>([
    ['as measured', {}, /^$/],
    ['a gram for 150', { grams: 1 }, /hang test makes the blank softer than blanks are: .* Weigh the weight again/],
    [
      'kilograms a hundredfold',
      { grams: 15_000 },
      /stiffer than blanks are: .* 1900 g at the most, and 15000 g is given/,
    ],
    ['drops in inches', { drops: [16.7, 10.4, 5.8, 1.8] }, /stiffer than blanks are: .* 41 g at the most/],
    ['places counted from the hold', { drops: [45, 148, 264, 425] }, /count their places from the tip/],
    ['one drop slipped', { drops: [425, 264, 350, 45] }, /do not fit together near 400 mm/],
    ['the same drop everywhere', { drops: [300, 300, 300, 300] }, /do not fit together near 700 mm/],
    ['a blank that hangs straight down', { drops: [1100, 900, 700, 400] }, /lighter weight/],
  ])('%s', (_, change, words) => {
    const text = said(change);
    expect(text).toMatch(words);
    expect(text).not.toMatch(/lighter load|could not be followed/);
  });
});

test('no blank’s own drops are refused, read to a millimetre anywhere along it', () => {
  const any = { coefficient: fc.double({ min: 500, max: 8000, noNaN: true }), exponent: fc.constantFrom(2.8, 3.4, 4) };
  const reading = fc.record({
    at: fc.integer({ min: 0, max: 1050 }),
    error: fc.double({ min: -1, max: 1, noNaN: true }),
  });
  fc.assert(
    fc.property(
      fc.record(any),
      fc.uniqueArray(reading, { minLength: 3, maxLength: 6, selector: ({ at }) => at }),
      (law, readings) => {
        const stiffness: Stiffness = {
          stations: [
            { at: 0, diameter: 1.8 },
            { at: 1400, diameter: 12 },
          ],
          law: { kind: 'power', ...law },
        };
        const hung = { weight: 1, clampAt: 1150, drops: readings.map(({ at }) => ({ at, drop: 0 })) };
        const drops = dropsUnderWeight(stiffness, hung).map((drop, k) => ({
          at: readings[k]!.at,
          drop: Math.max(0.1, drop + readings[k]!.error),
        }));
        expect(() => refuseImpossibleDrops({ ...hung, drops })).not.toThrow();
      },
    ),
    { numRuns: 60 },
  );
});

test('a tube of glass with a thin wall and a solid one of carbon are blanks', () => {
  const stations = [
    { at: 0, diameter: 2 },
    { at: 1000, diameter: 12 },
  ];
  const of = (modulus: number, share: number) => {
    // EI of a tube whose wall is a share of its diameter, N mm^2 at a diameter of 1 mm
    const coefficient = ((modulus * 1000 * Math.PI) / 64) * (1 - (1 - 2 * share) ** 4);
    return hangTestDoubt({ stations, law: { kind: 'power', coefficient, exponent: 4 } }, { weight: 1, clampAt: 1000 });
  };
  expect(of(25, 0.05)).toBeUndefined();
  expect(of(200, 0.5)).toBeUndefined();
  expect(of(25, 0.005)).toMatchObject({ text: expect.stringContaining('softer') });
  expect(of(400, 0.5)).toMatchObject({ text: expect.stringContaining('stiffer') });
});
