import { describe, expect, test, vi } from 'vitest';
import { fitSpineLine } from '../../src/adjust/spine_fit.ts';
import { seenLines } from '../../src/vision/seen_lines.ts';
import type { View } from '../../src/vision/strip.ts';
import { cameraOver, type Reflectance, renderBlank, straightAxis, wavering } from '../world/synthetic_blank.ts';

// Rendering takes seconds on a busy machine.
vi.setConfig({ testTimeout: 60_000 });

const axis = straightAxis(200, 3.6, 4.4, 12);
const range = { from: 0, to: 200 };
const WHITE: Reflectance = [0.7, 0.7, 0.68];
const BLACK: Reflectance = [0.012, 0.012, 0.013];
const ROLL = 11.5;
const waver = wavering(5, 3);
/** A stroke 1.3 mm wide from 70 to 130 mm, wavering by a tenth of a millimetre. */
const stroked = (s: number, roll: number): Reflectance => {
  const across = ((roll - ROLL) * Math.PI * 4) / 180 - 0.1 * waver(s);
  return s > 70 && s < 130 && Math.abs(across) < 0.65 ? WHITE : BLACK;
};
const plain = (): Reflectance => BLACK;
const gloss = { strength: 0.5, exponent: 120 };
const lamp = [0, -0.35, 0.9367] as const;

const shoot = (paint: (s: number, roll: number) => Reflectance, tilts: number[]): View[] =>
  tilts.map((tilt, i) =>
    renderBlank({ axis, paint, gloss, lamp, seed: i + 1 }, cameraOver(100, 600, { tilt, width: 1080, height: 120 })),
  );

/** The line that these photos show. */
const spineIn = (views: readonly View[]) =>
  fitSpineLine(seenLines(views, axis, range, 'stroke'), 'stroke', axis) ??
  fitSpineLine(seenLines(views, axis, range, 'edge'), 'edge', axis);

describe('a stroke along the blank', () => {
  test('gives its roll and extent from photos of two sides, beside a highlight', () => {
    const spine = spineIn(shoot(stroked, [0, 18]))!;
    expect(Math.abs(spine.roll.value - ROLL)).toBeLessThan(0.8);
    expect(Math.abs(spine.roll.value - ROLL)).toBeLessThan(3 * spine.roll.u);
    expect(spine.roll.u).toBeLessThan(1);
    expect(Math.abs(spine.from - 70)).toBeLessThan(5);
    expect(Math.abs(spine.to - 130)).toBeLessThan(5);
    expect(Math.abs(spine.width - 1.3)).toBeLessThan(0.25);
    expect(spine.views).toEqual([0, 1]);
    expect(spine.colour).toBe('white');
  });

  test('is found in a single photo, as it ends on bare blank', () => {
    const spine = spineIn(shoot(stroked, [-15]))!;
    expect(Math.abs(spine.roll.value - ROLL)).toBeLessThan(1.2);
  });
});

test('a strip of tape along the blank gives its edge nearer to the top', () => {
  /** Tape 4.5 mm wide from roll 5 to 69 degrees. */
  const taped = (s: number, roll: number): Reflectance =>
    s > 60 && s < 140 && roll > 5 && roll < 5 + (4.5 / 4) * (180 / Math.PI) ? [0.7, 0.55, 0.3] : BLACK;
  const spine = spineIn(shoot(taped, [0, -18]))!;
  expect(spine.kind).toBe('tape-edge');
  expect(Math.abs(spine.roll.value - 5)).toBeLessThan(1.2);
});

test('a highlight is no spine line, from one side or two', () => {
  expect(spineIn(shoot(plain, [0]))).toBeUndefined();
  expect(spineIn(shoot(plain, [0, 18]))).toBeUndefined();
});
