import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Denominator, formatLength, fractionalInches, readLength } from '../../src/plan/lengths/length_text.ts';
import { fromMillimetres, toMillimetres } from '../../src/plan/lengths/units.ts';

const mm = (text: string, unit: 'mm' | 'in' | 'cm') => {
  const reading = readLength(text, unit);
  return reading.ok ? reading.mm : Number.NaN;
};

describe('lengths as people write them', () => {
  it('takes an inch as exactly 25.4 mm (international yard and pound agreement, 1959; NIST)', () => {
    expect(mm('1', 'in')).toBe(25.4);
    expect(toMillimetres(1, 'in')).toBe(25.4);
    expect(fromMillimetres(25.4, 'in')).toBe(1);
  });

  it.each([
    '5 3/8',
    '5-3/8',
    '5 3/8 in',
    '5 3/8in',
    '5 3/8"',
    '5⅜',
    '5 ⅜ ″',
    '5.375',
    '5,375',
    ' 5\u00a03⁄8 inches',
    '5–3/8',
  ])('reads %j in inches as 136.525 mm', (text) => expect(mm(text, 'in')).toBeCloseTo(136.525, 9));

  it.each([
    ['11 7/16"', 'mm', 290.5125],
    ['13,5', 'mm', 13.5],
    ['13.5 cm', 'in', 135],
    ['948', 'mm', 948],
    ['948 mm', 'in', 948],
    ['.5', 'in', 12.7],
    ['½', 'in', 12.7],
    ['-1/4', 'in', -6.35],
    ['12,25', 'cm', 122.5],
  ] as const)('reads %j meant in %s as %d mm', (text, unit, value) => expect(mm(text, unit)).toBeCloseTo(value, 9));

  it.each([
    '',
    'in',
    '5 9/8',
    '11/8',
    '5 3/18',
    '5/0',
    '5 3',
    '1e3',
    '0x10',
    'NaN',
    '5 3/8 ft',
    '1.2 m',
    '1.2.3',
    '--3',
  ])('refuses %j and says why', (text) => {
    const reading = readLength(text, 'in');
    expect(reading.ok).toBe(false);
    expect(!reading.ok && reading.why.length).toBeGreaterThan(10);
  });

  it('does not choose between a thousands comma and a decimal one in millimetres', () => {
    expect(readLength('1,048', 'mm')).toEqual({ ok: false, why: expect.stringContaining('1048 or 1.048') });
    expect(mm('1,04', 'mm')).toBe(1.04);
  });

  it('reads back every fraction it writes', () => {
    const denominator = fc.constantFrom<Denominator>(16, 32, 64);
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 64 * 200 }), denominator, (parts, finest) => {
        const length = (parts / finest) * 25.4;
        expect(mm(formatLength(length, 'in-fraction', { denominator: finest }), 'in')).toBeCloseTo(length, 8);
      }),
    );
  });

  it('writes the nearest fraction, never more than half a division away', () => {
    fc.assert(
      fc.property(fc.double({ min: -3000, max: 3000, noNaN: true }), (length) => {
        const written = mm(fractionalInches(length, 32), 'in');
        expect(Math.abs(written - length)).toBeLessThanOrEqual(25.4 / 64 + 1e-9);
      }),
    );
  });

  it('reads back decimals in either unit', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 5000, noNaN: true }), (length) => {
        expect(Math.abs(mm(formatLength(length, 'mm', { mmDecimals: 4 }), 'in') - length)).toBeLessThanOrEqual(
          0.5001e-4,
        );
        expect(Math.abs(mm(formatLength(length, 'in', { inchDecimals: 5 }), 'mm') - length)).toBeLessThanOrEqual(
          1.28e-4,
        );
      }),
    );
  });

  it('writes lowest terms and no minus before nothing', () => {
    expect(formatLength(136.525, 'in-fraction')).toBe('5 3/8 in');
    expect(formatLength(25.4, 'in-fraction')).toBe('1 in');
    expect(formatLength(12.7, 'in-fraction')).toBe('1/2 in');
    expect(formatLength(-0.01, 'mm')).toBe('0.0 mm');
    expect(formatLength(-0.01, 'in-fraction')).toBe('0 in');
    expect(formatLength(136.525, 'in')).toBe('5.375 in');
  });
});
