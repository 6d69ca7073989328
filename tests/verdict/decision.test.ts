import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { coverageFactor, decide } from '../../src/verdict/decision.ts';
import { conformanceProbability, normalCumulative } from './conformance_oracle.ts';

describe('the rule that decides, on the worked examples of JCGM 106:2012', () => {
  // A single limit is one side of a tolerance so wide that the other side does not matter.
  const wide = 1000;
  const inside = (margin: number, u: number) => decide(wide - margin, coverageFactor * u, wide);
  test('7.3: Zener diode, 0.07 V inside its limit with u 0.05 V: 0.92 is not enough for a pass', () => {
    expect(inside(0.07, 0.05)).toBe('unsure');
  });
  test('7.3: container, 19.7 kPa inside with u 8.6 kPa: 0.989 is', () => {
    expect(inside(509.7 - 490, 8.6)).toBe('on');
  });
  test('7.4: oil, 13.6 with u 1.8 between 12.5 and 16.3: 0.66 decides nothing', () => {
    expect(decide(13.6 - 14.4, coverageFactor * 1.8, 1.9)).toBe('unsure');
  });
  test('8.3: radar, limit 100 km/h, 2 %: beyond doubt at 107 km/h, not at 104', () => {
    expect(inside(100 - 107, 0.02 * 107)).toBe('off');
    expect(inside(100 - 104, 0.02 * 104)).toBe('unsure');
  });
  test('9.5: resistors 1500 +- 0.20 ohm made with 0.12, measured with 0.04: the rule passes fewer bad ones than limits of 0.18', () => {
    const [made, measured, tolerance, step] = [0.12, 0.04, 0.2, 2e-3];
    let consumer = 0;
    for (let x = -1; x < 1; x += step) {
      const density = Math.exp(-0.5 * (x / made) ** 2) / (made * Math.sqrt(2 * Math.PI));
      if (Math.abs(x) <= tolerance) continue;
      for (let read = x - 0.2; read < x + 0.2; read += step) {
        const chance = Math.exp(-0.5 * ((read - x) / measured) ** 2) / (measured * Math.sqrt(2 * Math.PI));
        if (decide(read, coverageFactor * measured, tolerance) === 'on') consumer += density * chance * step * step;
      }
    }
    // the published limits' own risk is computed below: 0.0099
    expect(consumer).toBeLessThan(0.0015);
    expect(consumer).toBeGreaterThan(0);
  });
});

describe('conformance probability, the measure of the rule, against the same examples', () => {
  // The examples' inputs and rounded results are quoted from memory of JCGM 106:2012; the four-digit values were
  // computed independently with another program's normal distribution.
  test('7.3: Zener diode, -5.47 V, u 0.05 V, upper limit -5.40 V: 0.92', () => {
    expect(conformanceProbability(-5.47, 0.05, -Infinity, -5.4)).toBeCloseTo(0.9192, 4);
  });
  test('7.3: container, 509.7 kPa, u 8.6 kPa, lower limit 490 kPa: 0.989', () => {
    expect(conformanceProbability(509.7, 8.6, 490, Infinity)).toBeCloseTo(0.989, 3);
  });
  test('7.4: oil, 13.6, u 1.8, limits 12.5 and 16.3: 0.66', () => {
    expect(conformanceProbability(13.6, 1.8, 12.5, 16.3)).toBeCloseTo(0.6626, 4);
  });
  test('8.3: radar, limit 100 km/h, 2 %, 99.9 %: act above 107 km/h', () => {
    // Guarded rejection with the guard band that makes the probability of exceeding the limit 0.999; computed 106.59.
    let low = 100;
    let high = 120;
    for (let i = 0; i < 60; i++) {
      const speed = (low + high) / 2;
      if (conformanceProbability(speed, 0.02 * speed, 100, Infinity) < 0.999) low = speed;
      else high = speed;
    }
    expect(low).toBeCloseTo(106.588, 2);
    expect(Math.ceil(low)).toBe(107);
  });
  test('8.3: guard band in standard uncertainties against the probability at the acceptance limit (computed)', () => {
    const rows: [number, number][] = [
      [0, 0.5],
      [1, 0.8413],
      [1.645, 0.95],
      [2, 0.9772],
      [3, 0.9987],
    ];
    for (const [band, probability] of rows)
      expect(conformanceProbability(10 - band, 1, -Infinity, 10)).toBeCloseTo(probability, 4);
  });
  test('table 1: one-sided factors for 80, 90, 95, 99 and 99.9 % (from memory, two decimals)', () => {
    const rows: [number, number][] = [
      [0.84, 0.8],
      [1.28, 0.9],
      [1.64, 0.95],
      [2.33, 0.99],
      [3.09, 0.999],
    ];
    for (const [z, probability] of rows) expect(Math.abs(normalCumulative(z) - probability)).toBeLessThan(0.0015);
  });
  test('9.5: resistors 1500 +- 0.20 ohm made with 0.12, measured with 0.04: process and global risks', () => {
    // Published inputs and acceptance limits; the four risks are computed results, not printed ones.
    const [made, measured, tolerance] = [0.12, 0.04, 0.2];
    expect(conformanceProbability(0, made, -tolerance, tolerance)).toBeCloseTo(0.90442, 5);
    const risks = (acceptance: number) => {
      let consumer = 0;
      let producer = 0;
      const step = 1e-4;
      for (let x = -1; x < 1; x += step) {
        const middle = x + step / 2;
        const density = Math.exp(-0.5 * (middle / made) ** 2) / (made * Math.sqrt(2 * Math.PI));
        const accepted = conformanceProbability(middle, measured, -acceptance, acceptance);
        if (Math.abs(middle) > tolerance) consumer += density * accepted * step;
        else producer += density * (1 - accepted) * step;
      }
      return { consumer, producer };
    };
    expect(risks(0.18).consumer).toBeCloseTo(0.009878, 5);
    expect(risks(0.18).producer).toBeCloseTo(0.069027, 5);
    expect(risks(0.2).consumer).toBeCloseTo(0.018942, 5);
    expect(risks(0.2).producer).toBeCloseTo(0.037208, 5);
  });
});

describe('the guard-band rule', () => {
  const size = fc.double({ min: 0, max: 50, noNaN: true });
  const signed = fc.double({ min: -50, max: 50, noNaN: true });
  test('a growing uncertainty can only turn a decision into "unsure"', () => {
    fc.assert(
      fc.property(signed, size, size, size, (offset, expanded, more, tolerance) => {
        const wider = decide(offset, expanded + more, tolerance);
        expect([decide(offset, expanded, tolerance), 'unsure']).toContain(wider);
      }),
    );
  });
  test('the sign of the offset does not matter', () => {
    fc.assert(fc.property(signed, size, size, (o, U, t) => decide(o, U, t) === decide(-o, U, t)));
  });
  test('a pass leaves at least 95 % that the item is within tolerance, a rejection at least 95 % that it is not', () => {
    // ISO 14253-1's default probability limit, 95 % (from a secondary text).
    fc.assert(
      fc.property(signed, fc.double({ min: 1e-3, max: 20, noNaN: true }), size, (offset, expanded, tolerance) => {
        const within = conformanceProbability(offset, expanded / coverageFactor, -tolerance, tolerance);
        const decision = decide(offset, expanded, tolerance);
        if (decision === 'on') expect(within).toBeGreaterThanOrEqual(0.95);
        if (decision === 'off') expect(within).toBeLessThanOrEqual(0.05);
      }),
      { numRuns: 2000 },
    );
  });
  test('the limits themselves: within by exactly U passes, beyond by exactly U is not yet off', () => {
    expect(decide(1, 0.5, 1.5)).toBe('on');
    expect(decide(2, 0.5, 1.5)).toBe('unsure');
    expect(decide(-2.001, 0.5, 1.5)).toBe('off');
  });
  test('what is not a number decides nothing', () => {
    expect(decide(Number.NaN, 0.1, 1)).toBe('unsure');
    expect(decide(0, Number.NaN, 1)).toBe('unsure');
    expect(decide(9, Infinity, 1)).toBe('unsure');
    expect(decide(0, -1, 1)).toBe('unsure');
  });
});
