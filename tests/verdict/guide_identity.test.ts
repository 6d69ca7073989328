import { describe, expect, test } from 'vitest';
import type { Guide } from '../../src/plan/plan.ts';
import { identifyGuide } from '../../src/verdict/guide_identity.ts';

const guide = (ringOuter: number, ringInner: number, height: number): Guide => ({
  ringOuter,
  ringInner,
  height,
  lean: 0,
  foot: 'single',
});
const planned = [
  { id: 'G1', guide: guide(6, 4.3, 6.5) },
  { id: 'G2', guide: guide(6, 4.3, 7) },
  { id: 'G3', guide: guide(8, 5.8, 10) },
  { id: 'G4', guide: guide(10, 7.2, 15) },
];
const sizes = (outer: number, inner: number, height: number, u = 0.15) => ({
  ringOuter: { value: outer, u },
  ringInner: { value: inner, u },
  height: { value: height, u },
});

describe('which guide sits at a place', () => {
  test('the planned one, also when its rim reads a little small', () => {
    expect(identifyGuide('G3', planned, sizes(7.8, 5.9, 10.2))).toEqual({ verdict: 'as-planned', fits: ['G3'] });
  });
  test('two guides that changed places are both different, and each fits the other', () => {
    expect(identifyGuide('G3', planned, sizes(10.1, 7.1, 14.8))).toEqual({ verdict: 'different', fits: ['G4'] });
    expect(identifyGuide('G4', planned, sizes(8, 5.7, 10.3))).toEqual({ verdict: 'different', fits: ['G3'] });
  });
  test('equal guides may change places: half a millimetre of height is not another guide', () => {
    expect(identifyGuide('G1', planned, sizes(6, 4.3, 7))).toEqual({ verdict: 'as-planned', fits: ['G1', 'G2'] });
  });
  test('three millimetres of height alone, which a shadow beside the blank can feign, call no guide another', () => {
    expect(identifyGuide('G3', planned, sizes(8, 5.8, 6.7, 0.3)).verdict).toBe('unsure');
    expect(identifyGuide('G3', planned, sizes(8, 5.8, 16, 0.3)).verdict).toBe('different');
  });
  test('a ring that is in nobody’s plan is different and fits nothing', () => {
    expect(identifyGuide('G3', planned, sizes(16, 11.4, 22))).toEqual({ verdict: 'different', fits: [] });
  });
  test('loose readings settle nothing, for or against', () => {
    expect(identifyGuide('G3', planned, sizes(8.4, 6, 10.5, 1.6)).verdict).toBe('unsure');
    expect(identifyGuide('G3', [planned[2]!], sizes(8.4, 6, 10.5, 3)).verdict).toBe('unsure');
    expect(identifyGuide('G3', planned, { height: { value: 10, u: 0.1 } }).verdict).toBe('unsure');
    expect(identifyGuide('G3', planned, {}).verdict).toBe('unsure');
  });
  test('between two sizes nothing is decided', () => {
    expect(identifyGuide('G3', planned, { ringOuter: { value: 7, u: 0.3 } }).verdict).toBe('unsure');
  });
});
