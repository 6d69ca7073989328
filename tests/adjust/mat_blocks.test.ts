import { describe, expect, test } from 'vitest';
import {
  type CameraIndex,
  cameraJacobian,
  cameraParameterCount,
  cameraParameters,
  fieldOf,
  fieldParameters,
  intrinsicsOf,
  projectThrough,
  rotationOf,
} from '../../src/adjust/camera_block.ts';
import { readingBlocks } from '../../src/adjust/mat_readings.ts';
import { gaugeBlock, heightsBlock } from '../../src/adjust/paper_blocks.ts';
import { indices, ParameterVector } from '../../src/adjust/parameters.ts';
import { prior } from '../../src/adjust/prior.ts';
import { fieldGridOf, fieldSize } from '../../src/geometry/lens_field.ts';
import { makeProjectionJacobian } from '../../src/geometry/projection_jacobian.ts';
import { heightCorrelationFactor } from '../../src/mat/paper.ts';
import { printedLengths, spanUncertainty } from '../../src/mat/readings.ts';
import { tagPlace, tagSide, tagsPerTile } from '../../src/mat/tile.ts';
import { jacobianMiss } from '../world/derivatives.ts';
import { seededNormal } from '../world/seeded_random.ts';

const residualsOf = (block: Parameters<typeof jacobianMiss>[0], values: Float64Array): number[] => {
  const out = new Float64Array(block.size);
  block.evaluate(values, out, undefined);
  return Array.from(out);
};

test('groups of parameters stand one after the other, and what is fixed is remembered', () => {
  const parameters = new ParameterVector();
  expect([parameters.add([1, 2]), parameters.add([3], true), parameters.add([])]).toEqual([0, 2, 3]);
  expect([...parameters.constant]).toEqual([2]);
  expect(parameters.count).toBe(3);
  expect(Array.from(parameters.values())).toEqual([1, 2, 3]);
  expect(indices(4, 3)).toEqual([4, 5, 6]);
});

test('a prior is one observation of one parameter over its doubt', () => {
  const block = prior(1, 5, 0.5);
  expect(residualsOf(block, Float64Array.of(0, 6))).toEqual([2]);
  expect(jacobianMiss(block, Float64Array.of(0, 6), () => 1e-3)).toBeLessThan(1e-9);
});

describe('a camera’s pixel by its parameters', () => {
  const grid = fieldGridOf(4032, 3024);
  const camera: CameraIndex = { lens: 0, own: 8, pose: 11, bleed: 17, field: { grid, at: 18 } };
  const normal = seededNormal(3);
  const values = Float64Array.from(
    [
      // lens, the photo's own change of it, pose, bleed
      [2900, 2010, 1500, 0.03, -0.04, 0.0003, -0.0002, 0.01],
      [0.002, 3, -2],
      [3, 0.1, -0.05, -120, 40, 510],
      0.01,
      Array.from({ length: 2 * fieldSize(grid) }, () => 0.4 * normal()),
    ].flat(),
  );
  const point = [100, 30, 4];
  const projection = makeProjectionJacobian();
  const pixelAt = (moved: Float64Array): [number, number] => {
    const seen = projectThrough(moved, camera, rotationOf(moved, camera.pose), point, projection);
    return seen ? [projection.pixel[0]!, projection.pixel[1]!] : [Number.NaN, Number.NaN];
  };

  test('a photo’s own focal length and centre come on top of the lens they share', () => {
    const q = intrinsicsOf(values, camera);
    expect([q[0], q[1], q[2]]).toEqual([2900 * 1.002, 2013, 1498]);
    expect(fieldOf(values, camera).down[0]).toBe(values[18 + fieldSize(grid)]);
  });

  test('the Jacobian is that of the pixel, but for the field’s own bend', () => {
    const straight = values.slice();
    straight.fill(0, 18);
    pixelAt(straight);
    const steps = [1, 1, 1, 1e-4, 1e-4, 1e-5, 1e-5, 1e-4, 1e-5, 1, 1, ...Array<number>(3).fill(1e-6), 1e-3, 1e-3, 1e-3];
    const row = new Float64Array(cameraParameterCount);
    for (const towards of [
      [1, 0],
      [0, 1],
      [0.6, 0.8],
    ] as const) {
      pixelAt(straight);
      cameraJacobian(straight, camera, projection, towards, row);
      const own = row.slice();
      cameraParameters(camera).forEach((parameter, i) => {
        const at = (by: number) => {
          const moved = straight.slice();
          moved[parameter]! += by;
          const [x, y] = pixelAt(moved);
          return towards[0] * x + towards[1] * y;
        };
        const h = steps[i]!;
        const slope = (at(h) - at(-h)) / (2 * h);
        expect(Math.abs(slope - own[i]!), `parameter ${i}`).toBeLessThan(1e-5 * Math.max(1, Math.abs(slope)));
      });
    }
  });

  test('the field shifts a pixel by its coefficients’ weights, which sum up to 1', () => {
    const { right, down, weight } = fieldParameters(camera, [2000, 1400]);
    expect(weight.reduce((a, b) => a + b, 0)).toBeCloseTo(1, 12);
    expect(down.map((i, k) => i - right[k]!)).toEqual(Array(16).fill(fieldSize(grid)));
    const before = pixelAt(values);
    const moved = values.slice();
    for (let i = 0; i < fieldSize(grid); i++) moved[18 + i]! += 2;
    const after = pixelAt(moved);
    expect([after[0] - before[0], after[1] - before[1]]).toEqual([expect.closeTo(2, 9), expect.closeTo(0, 9)]);
  });

  test('a point behind the camera has no picture', () => {
    const behind = values.slice();
    behind[16] = -510;
    expect(pixelAt(behind)).toEqual([Number.NaN, Number.NaN]);
  });
});

describe('what the builder read off the mat', () => {
  const tiles = new Map([
    [0, { place: 0, heights: 8 }],
    [2, { place: 3, heights: 8 }],
  ]);
  const values = Float64Array.of(0, 0, 0.01, 590, 4, -0.02, 1.01, 0.99);
  const read = (readings: Parameters<typeof readingBlocks>[0]) => readingBlocks(readings, 6, tiles);

  test('a printed length is an observation of the scale its way runs', () => {
    const [along, across] = read({ rowAlong: 228, barAcross: 100 });
    expect([along!.field, across!.field]).toEqual(['rowAlong', 'barAcross']);
    expect(along!.block.parameters).toEqual([6]);
    expect(across!.block.parameters).toEqual([7]);
    const { nominal, sigma } = printedLengths.rowAlong;
    expect(residualsOf(along!.block, values)[0]).toBeCloseTo((1.01 * nominal - 228) / sigma, 6);
  });

  test('the span is the tape’s length between far edges, whichever way round, and its derivatives are its own', () => {
    const to = 2 * tagsPerTile + 4;
    const flat = Float64Array.of(0, 0, 0, 594, 0, 0, 1, 1);
    const length = 594 + tagPlace(to)!.centre[0] - tagPlace(0)!.centre[0] + tagSide;
    for (const span of [
      { fromTag: 0, toTag: to, length },
      { fromTag: to, toTag: 0, length },
    ]) {
      const [{ block, sigma }] = read({ span }) as [ReturnType<typeof read>[0]];
      expect(residualsOf(block, flat)[0]).toBeCloseTo(0, 9);
      expect(sigma).toBe(spanUncertainty(span));
      expect(jacobianMiss(block, values, () => 1e-4)).toBeLessThan(1e-6);
    }
    const [within] = read({ span: { fromTag: 0, toTag: 4, length: 224 } });
    expect(jacobianMiss(within!.block, values, () => 1e-4)).toBeLessThan(1e-6);
  });

  test('a span to a page that is not in view says nothing', () => {
    expect(read({ span: { fromTag: 0, toTag: 14, length: 500 } })).toEqual([]);
  });
});

describe('paper', () => {
  test('heights come out independent: drawn as the paper waves, their residuals have unit variance', () => {
    const block = heightsBlock(0, 0.4);
    const n = tagsPerTile;
    const jacobian = new Float64Array(n * n);
    block.evaluate(new Float64Array(n), new Float64Array(n), jacobian);
    // The paper's heights are 0.4 L z with independent z: the residuals must be z again.
    for (let i = 0; i < n; i++)
      for (let j = 0; j < n; j++) {
        let sum = 0;
        for (let k = 0; k < n; k++) sum += jacobian[i * n + k]! * 0.4 * heightCorrelationFactor[k * n + j]!;
        expect(sum).toBeCloseTo(i === j ? 1 : 0, 8);
      }
    expect(jacobianMiss(block, new Float64Array(n), () => 1e-3)).toBeLessThan(1e-9);
  });

  test('the gauge feels a mat’s mean height and its two slopes, and no wave that has none of them', () => {
    const place = (tile: number, x: number) => ({ place: { tile, x, y: 3, yaw: 0.1 }, heights: tagsPerTile * tile });
    const tiles = [place(0, 0), place(1, 300)];
    const block = gaugeBlock(tiles);
    const lifted = residualsOf(block, new Float64Array(2 * tagsPerTile).fill(0.003));
    expect(lifted.map((r) => +r.toFixed(6) + 0)).toEqual([1, 0, 0]);
    const tilted = new Float64Array(2 * tagsPerTile);
    for (const { place: at, heights } of tiles)
      for (let i = 0; i < tagsPerTile; i++) {
        const [u, v] = tagPlace(i)!.centre;
        tilted[heights + i] = 1e-3 * (at.x + Math.cos(at.yaw) * u - Math.sin(at.yaw) * v);
      }
    const [, byX] = residualsOf(block, tilted);
    expect(Math.abs(byX!)).toBeGreaterThan(10);
    expect(jacobianMiss(block, tilted, () => 1e-3)).toBeLessThan(1e-9);
  });
});
