import { expect, test } from 'vitest';
import { blankFittings } from '../../src/check/blank_fittings.ts';
import type { OutlineStep } from '../../src/vision/outline_steps.ts';

const step = (from: number, to: number, thicker: number, more: Partial<OutlineStep> = {}): OutlineStep => ({
  from,
  to,
  thicker,
  uneven: 0.02,
  toEnd: false,
  ...more,
});
const grip = step(405, 423, 15, { toEnd: true });
const kinds = (steps: OutlineStep[], gripAt: number | undefined, like?: 'same' | 'other') =>
  blankFittings(steps, gripAt, () => like).map(({ kind, from }) => `${kind} at ${from}`);

test('a long even step is a ferrule, a collar against the grip is told as such, the grip itself is left out', () => {
  expect(kinds([step(150, 192, 1.4), step(402, 405, 3.2), grip], 402)).toEqual(['ferrule at 150', 'at-grip at 402']);
  expect(kinds([grip], 402)).toEqual([]);
  expect(kinds([step(398, 405, 3, { uneven: 0.9 }), step(405, 412, 6), grip], 402)).toEqual(['at-grip at 398']);
});

test('a collar of another colour than the grip is a check, one of its own colour is the grip’s front', () => {
  const steps = [step(402, 405, 3.2), grip];
  expect(kinds(steps, 402, 'other')).toEqual(['winding-check at 402']);
  expect(kinds(steps, 402, 'same')).toEqual([]);
  // a grip alone has no collar, whatever its colour
  expect(kinds([grip], 402, 'other')).toEqual([]);
});

test('what fits nothing is told and not named', () => {
  expect(kinds([step(300, 306, 2)], undefined)).toEqual(['not-made-out at 300']);
  expect(kinds([step(100, 260, 1)], undefined)).toEqual(['not-made-out at 100']);
  expect(kinds([step(100, 140, 2, { uneven: 0.8 })], undefined)).toEqual(['not-made-out at 100']);
});

test('what goes on to the end is the grip only where a grip begins', () => {
  const last = step(640, 700, 1.2, { toEnd: true });
  expect(kinds([last], undefined)).toEqual(['ferrule at 640']);
  expect(kinds([last], 400)).toEqual(['ferrule at 640']);
  expect(kinds([last], 650)).toEqual([]);
});
