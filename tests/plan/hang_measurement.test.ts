import { describe, expect, it } from 'vitest';
import { dropsUnderWeight, fitHangTest } from '../../src/plan/bend/hang_measurement.ts';
import type { HangTest } from '../../src/plan/bend/hung_weight.ts';
import { InputError } from '../../src/plan/input_error.ts';
import { type Stiffness, stiffnessAt } from '../../src/plan/bend/stiffness.ts';
import { seededNormal } from '../world/seeded_random.ts';

const stations = [
  { at: 0, diameter: 1.8 },
  { at: 1400, diameter: 12 },
];
const blank: Stiffness = { stations, law: { kind: 'power', coefficient: 1500, exponent: 3.3 } };
const hung = (drops: number[], places = [0, 200, 400, 700]): HangTest => ({
  weight: 1.5,
  clampAt: 1150,
  drops: places.map((at, k) => ({ at, drop: drops[k] ?? 0 })),
});
const drops = dropsUnderWeight(blank, hung([]));

describe('hang test', () => {
  it('finds the stiffness that made the drops', () => {
    const fit = fitHangTest(stations, hung(drops));
    expect(fit.exponent).toBeCloseTo(3.3, 4);
    for (const s of [0, 300, 700, 1100])
      expect(stiffnessAt(fit.stiffness, s) / stiffnessAt(blank, s)).toBeCloseTo(1, 3);
  });

  it('reads the drop between nodes as well as at them', () => {
    // a quarter of the way between two drops close together lies on the line through them
    const [a, b, c] = dropsUnderWeight(blank, hung([], [300, 300.25, 301])) as [number, number, number];
    expect(b).toBeCloseTo(a + (c - a) / 4, 3);
  });

  it('states an uncertainty that repeated readings bear out', () => {
    const normal = seededNormal(7);
    const places = [0, 100, 200, 300, 400, 500, 600, 700];
    const truth = dropsUnderWeight(blank, hung([], places));
    const scores = Array.from({ length: 16 }, () => {
      const fit = fitHangTest(
        stations,
        hung(
          truth.map((drop) => drop + 2 * normal()),
          places,
        ),
      );
      return (fit.exponent - 3.3) / fit.exponentUncertainty;
    });
    const meanSquare = scores.reduce((sum, z) => sum + z * z, 0) / scores.length;
    // Student's t with 6 degrees of freedom has variance 1.5; 16 draws scatter by about 0.6 round it
    expect(meanSquare).toBeGreaterThan(0.4);
    expect(meanSquare).toBeLessThan(3.5);
  }, 30_000);

  it.each<[string, HangTest, string]>([
    ['two places', hung(drops.slice(0, 2), [0, 200]), 'three or more places'],
    ['three drops at two places', hung([300, 300, 200], [0, 0, 200]), 'three or more places'],
    ['a drop behind the clamp', hung([300, 200, 100], [0, 200, 1200]), 'not between tip and clamp'],
    ['a drop of nothing', hung([300, 200, 0], [0, 200, 400]), 'must be above 0'],
    ['a drop longer than the blank', hung([1200, 200, 100], [0, 200, 400]), 'longer than the blank'],
    ['no weight', { ...hung(drops), weight: 0 }, 'weight of the hang test'],
  ])('refuses %s', (_, test, words) => {
    expect(() => fitHangTest(stations, test)).toThrow(InputError);
    expect(() => fitHangTest(stations, test)).toThrow(words);
  });

  it('refuses a blank of one diameter, whose law cannot be told', () => {
    const even = stations.map((station) => ({ ...station, diameter: 5 }));
    expect(() => fitHangTest(even, hung(drops))).toThrow('one diameter');
  });
});
