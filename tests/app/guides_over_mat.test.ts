import { describe, expect, test } from 'vitest';
import { guidesOverMat } from '../../src/app/coverage/guides_over_mat.ts';
import { paperSizes, tagPlace, tileTagIds } from '../../src/mat/tile.ts';
import type { Pixel } from '../../src/geometry/vector.ts';
import type { Plan } from '../../src/plan/plan.ts';
import type { KeptCheck } from '../../src/store/build.ts';
import { axisStep, type PhotoEvidence } from '../../src/verdict/evidence.ts';

const { width } = paperSizes.A4;
const plan = {
  datum: 'blank-tip',
  blank: { length: 1000 },
  positions: [
    { id: 'T', kind: 'tip-wrap', at: 9 },
    ...[100, 210, 330, 480, 536, 700].map((at, i) => ({ id: `G${i + 1}`, kind: 'guide', at })),
  ],
} as unknown as Plan;

/** A photo from straight above that shows these tiles, two pixels a mm, the tip at `tip` mm along the mat. */
function photoOf(
  tiles: readonly number[],
  tip: number,
  way: 1 | -1,
  covers: { from: number; to: number },
): PhotoEvidence {
  const pixel = (over: number, v: number): Pixel => [2 * over, 400 - 2 * v];
  const count = Math.floor((covers.to - Math.max(covers.from, 0)) / axisStep) + 1;
  return {
    file: 'one.jpg',
    width: 2000,
    height: 800,
    tags: tiles.flatMap(tileTagIds).map((id) => {
      const { tile, centre } = tagPlace(id)!;
      const [x, y] = pixel(tile * width + centre[0], centre[1]);
      return { id, corners: [-1, 1].flatMap((a) => [-1, 1].map((b): Pixel => [x + 24 * a, y + 24 * b])) };
    }),
    axis: Array.from({ length: count }, (_, i) => pixel(tip + way * (Math.max(covers.from, 0) + i * axisStep), 0)),
    outlines: [],
    rings: [],
    marks: [],
    covers,
  };
}

const checkOf = (...photos: PhotoEvidence[]) => ({ evidence: { photos } }) as unknown as KeptCheck;

describe('where the planned guides lie over the mat', () => {
  test('with the tip on the first tile', () => {
    const over = guidesOverMat(plan, checkOf(photoOf([0, 1], -90, 1, { from: -3, to: 400 })), 'A4')!;
    expect(over({ from: 0, to: 4 })).toEqual(['G1', 'G2']);
    expect(over({ from: 5, to: 9 })).toEqual(['G3', 'G4']);
    // between two tiles' tags, 446 mm from the first one's middle: the later tile's
    expect(over({ from: 10, to: 14 })).toEqual(['G5', 'G6']);
    expect(over({ from: 13, to: 14 })).toEqual([]);
  });
  test('with the tip on the last one, by photos that do not show it', () => {
    const over = guidesOverMat(plan, checkOf(photoOf([1, 2], 690, -1, { from: 60, to: 480 })), 'A4')!;
    expect(over({ from: 0, to: 4 })).toEqual(['G6']);
    expect(over({ from: 10, to: 14 })).toEqual(['G2', 'G1']);
  });
  test('is not said of a rod that lies differently in two photos, nor before one shows it', () => {
    const apart = checkOf(photoOf([0, 1], -90, 1, { from: 0, to: 400 }), photoOf([0, 1], 200, 1, { from: 0, to: 300 }));
    expect(guidesOverMat(plan, apart, 'A4')).toBeUndefined();
    expect(guidesOverMat(plan, checkOf(), 'A4')).toBeUndefined();
  });
});
