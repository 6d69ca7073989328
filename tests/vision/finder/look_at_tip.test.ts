import { describe, expect, test } from 'vitest';
import { endTold } from '../../../src/vision/finder/look_at_tip.ts';

const [rows, width] = [64, 320];
const [h, w] = [rows / 2, width / 2];
const cells = h * w;

/** The network's output with these heats at cells (row, column), and the same words beside them everywhere. */
function output(heats: readonly { row: number; column: number; heat: number }[], beside = 0, logError = -1) {
  const all = new Float32Array(3 * cells).fill(-20, 0, cells);
  for (const { row, column, heat } of heats) all[row * w + column] = heat;
  return all.fill(beside, cells, 2 * cells).fill(logError, 2 * cells);
}

describe('what the tip network’s output tells of the end', () => {
  test('nothing where the word "none" outweighs all cells', () => {
    expect(endTold(output([]), rows, width)).toBeUndefined();
    expect(endTold(output([{ row: 16, column: 80, heat: -1 }]), rows, width)).toBeUndefined();
  });

  test('its place in the middle of a cell, in samples, and how well it is known', () => {
    const told = endTold(output([{ row: 16, column: 80, heat: 9 }]), rows, width)!;
    // cell 80 holds samples 160 and 161
    expect(told.column).toBeCloseTo(160.5, 2);
    expect(told.sigma).toBeCloseTo(2 * Math.SQRT2 * Math.exp(-1), 4);
  });

  test('between cells by their shares, and beside them as each says', () => {
    const both = [
      { row: 16, column: 80, heat: 9 },
      { row: 17, column: 81, heat: 9 },
    ];
    expect(endTold(output(both), rows, width)!.column).toBeCloseTo(161.5, 2);
    expect(endTold(output(both, 0.25), rows, width)!.column).toBeCloseTo(162, 2);
  });

  test('one of two ends far apart where it is by far the likelier; their mean, doubted as far as they lie apart, where neither is', () => {
    const two = (heat: number) =>
      output([
        { row: 16, column: 40, heat: 9 },
        { row: 16, column: 120, heat },
      ]);
    expect(endTold(two(11), rows, width)!.column).toBeCloseTo(240.5, 1);
    const torn = endTold(two(9), rows, width)!;
    expect(torn.column).toBeCloseTo(160.5, 1);
    expect(torn.sigma).toBeCloseTo(80, 1);
    expect(endTold(two(6), rows, width)!.column).toBeCloseTo(80.5, 1);
  });
});
