import { describe, expect, test } from 'vitest';
import type { MatProfile } from '../../src/adjust/mat_profile.ts';
import type { MatSolution } from '../../src/adjust/mat_summary.ts';
import { scaleAsFound } from '../../src/check/scale.ts';
import type { MatReadings } from '../../src/plan/shoot.ts';

const found = (readings: MatSolution['readings'], keptMat?: MatSolution['keptMat']): MatSolution =>
  ({ printScale: { along: 0.99, across: 0.991 }, readings, ...(keptMat && { keptMat }) }) as MatSolution;
const span = { fromTag: 0, toTag: 34, length: 1118 };
const read: MatReadings = { rowAlong: 228, rowAcross: 150, span };

describe('the print scale with its doubt', () => {
  test('readings that agree leave the doubt as propagated; the tape’s share is told where the span was used', () => {
    const scale = scaleAsFound(found({ rowAlong: 0.8, span: -0.4 }), 2e-4, read);
    expect(scale).toMatchObject({ along: 0.99, across: 0.991, u: 2e-4, measured: true, notes: [] });
    expect(scale.tape).toBeGreaterThan(0);
    const bare = scaleAsFound(found({ rowAlong: 0.8 }), 2e-4, { rowAlong: 228, rowAcross: 150 });
    expect([bare.measured, bare.tape]).toEqual([true, undefined]);
  });

  test('nothing measured: nothing to pass anything on', () => {
    expect(scaleAsFound(found({}), 0.02, {})).toMatchObject({ measured: false, u: 0.02 });
  });

  test('readings that contradict each other: what they differ by is the doubt, it is said which, and none counts', () => {
    const scale = scaleAsFound(found({ rowAlong: 6, span: -5 }), 2e-4, read);
    expect(scale.measured).toBe(false);
    expect(scale.u).toBeGreaterThan(1e-3);
    expect(scale.notes.join()).toMatch(
      /row of squares \(228 mm\) and the span \(1118\.0 mm\) contradict each other by/,
    );
  });

  test('a span to a page that no photo shows is said to be left out', () => {
    expect(scaleAsFound(found({ rowAlong: 0.1 }), 2e-4, read).notes.join()).toMatch(/span was not used/);
  });
});

describe('a kept mat’s scale', () => {
  const kept = (length: number): MatSolution['keptMat'] => ({
    profile: { name: 'Bench', readings: { span: { ...span, length } } } as MatProfile,
    pages: [0, 1],
    moved: [],
  });

  test('rests on what was measured on it then', () => {
    expect(scaleAsFound(found({}, kept(1118.2)), 1e-4, { span })).toMatchObject({ u: 1e-4, measured: true, notes: [] });
  });

  test('against a span read now that plainly differs it counts for nothing, and the mat is named', () => {
    const scale = scaleAsFound(found({}, kept(1130)), 1e-4, { span });
    expect(scale.measured).toBe(false);
    expect(scale.u).toBeCloseTo(12 / 1130, 6);
    expect(scale.notes.join()).toMatch(/“Bench”.*contradict each other/);
  });

  test('a span between other squares says nothing against it', () => {
    const other = { ...span, toTag: 24, length: 900 };
    expect(scaleAsFound(found({}, kept(1118)), 1e-4, { span: other }).measured).toBe(true);
  });
});
