import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { type BlankModel, outlineBlock, stationAt, tipBlock } from '../../src/adjust/blank_model.ts';
import type { Tag } from '../../src/vision/tags.ts';
import type { ResidualBlock } from '../../src/numerics/residual_block.ts';
import type { CameraIndex } from '../../src/adjust/camera_block.ts';
import { cardTagBlock, tileTagBlock } from '../../src/adjust/tag_block.ts';
import { type FieldGrid, fieldSize } from '../../src/geometry/lens_field.ts';
import {
  type Camera,
  distort,
  type Intrinsics,
  makeCamera,
  project,
  ray,
  undistort,
} from '../../src/geometry/camera.ts';
import { applyHomography, fitHomography, poseFromHomography } from '../../src/geometry/homography.ts';
import {
  makeProjectionJacobian,
  projectWithJacobian,
  rotationWithDerivatives,
} from '../../src/geometry/projection_jacobian.ts';
import { rotationMatrix, rotationVector } from '../../src/geometry/rotation.ts';
import { basisAt, coefficientCount, splineValue, type UniformSpline } from '../../src/geometry/spline.ts';
import {
  add,
  addScaled,
  cross,
  dot,
  multiply,
  norm,
  type Pixel,
  scale,
  transform,
  transpose,
  type Vector3,
} from '../../src/geometry/vector.ts';
import { outlineDirection } from '../../src/vision/outline.ts';
import { projectionRows } from '../../src/vision/rim_edges.ts';
import { openCv } from '../vision/open_cv.ts';
import { seededNormal, seededUniform } from '../world/seeded_random.ts';

interface Matrix {
  rows: number;
  data64F: Float64Array;
  delete(): void;
}
/** What these tests call of OpenCV, all of it documented in its calib3d module. */
interface CalibOpenCv {
  Mat: new () => Matrix;
  CV_64F: number;
  CV_64FC2: number;
  CV_64FC3: number;
  SOLVEPNP_ITERATIVE: number;
  matFromArray(rows: number, columns: number, type: number, values: readonly number[]): Matrix;
  projectPoints(
    points: Matrix,
    rvec: Matrix,
    tvec: Matrix,
    k: Matrix,
    distortion: Matrix,
    into: Matrix,
    jacobian: Matrix,
  ): void;
  solvePnP(
    points: Matrix,
    image: Matrix,
    k: Matrix,
    distortion: Matrix,
    rvec: Matrix,
    tvec: Matrix,
    guess: boolean,
    how: number,
  ): boolean;
  Rodrigues(vector: Matrix, into: Matrix): void;
}

const intrinsics: Intrinsics = {
  focal: 2948,
  centre: [2013.2, 1508.7],
  distortion: [0.032, -0.041, 0.0012, -0.0013, 0.011],
};
const camera = makeCamera(intrinsics, { rotation: [-3.05, 0.11, -0.17], translation: [-213.8, 12.4, 495.4] });

const uniform = seededUniform(21);
const between = (low: number, high: number) => low + (high - low) * uniform();
const points: Vector3[] = Array.from({ length: 40 }, () => [between(0, 430), between(-140, 160), between(0, 45)]);

const finite = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const rotationVectors = fc
  .tuple(finite(-1, 1), finite(-1, 1), finite(-1, 1), finite(0, Math.PI - 1e-3))
  .filter(([x, y, z]) => Math.hypot(x, y, z) > 0.1)
  .map(([x, y, z, angle]): Vector3 => scale([x, y, z], angle / Math.hypot(x, y, z)));
/** Distortions as phones have them, and some more. */
const lenses = fc.tuple(
  finite(-0.05, 0.05),
  finite(-0.06, 0.06),
  finite(-0.002, 0.002),
  finite(-0.002, 0.002),
  finite(-0.02, 0.02),
);

describe("against OpenCV's calib3d", () => {
  let cv: CalibOpenCv;
  beforeAll(async () => {
    ({ cv } = await openCv<CalibOpenCv>());
  });
  const matrixOf = ({ focal: f, centre: [x, y] }: Intrinsics) =>
    cv.matFromArray(3, 3, cv.CV_64F, [f, 0, x, 0, f, y, 0, 0, 1]);
  const column = (values: readonly number[]) => cv.matFromArray(values.length, 1, cv.CV_64F, values);

  test('projectPoints puts every point at the same pixel, and its derivatives are ours', () => {
    const into = new cv.Mat();
    const jacobian = new cv.Mat();
    cv.projectPoints(
      cv.matFromArray(points.length, 1, cv.CV_64FC3, points.flat()),
      column(camera.pose.rotation),
      column(camera.pose.translation),
      matrixOf(intrinsics),
      column(intrinsics.distortion),
      into,
      jacobian,
    );
    const ours = makeProjectionJacobian();
    const flat = [intrinsics.focal, ...intrinsics.centre, ...intrinsics.distortion];
    // OpenCV's columns: rotation 3, translation 3, fx, fy, cx, cy, k1, k2, p1, p2, k3.
    const columns = jacobian.data64F.length / (2 * points.length);
    expect(columns).toBe(15);
    points.forEach((point, i) => {
      const [x, y] = project(camera, point)!;
      expect(Math.hypot(x - into.data64F[2 * i]!, y - into.data64F[2 * i + 1]!)).toBeLessThan(1e-8);
      projectWithJacobian(flat, rotationWithDerivatives(camera.pose.rotation), camera.pose.translation, point, ours);
      for (const k of [0, 1]) {
        const theirs = (c: number) => jacobian.data64F[(2 * i + k) * columns + c]!;
        const expectSame = (value: number, other: number, what: string) =>
          expect(Math.abs(value - other) / (1 + Math.abs(other)), `${what} of point ${i}`).toBeLessThan(1e-7);
        for (let j = 0; j < 6; j++) expectSame(ours.byPose[6 * k + j]!, theirs(j), `pose ${j}`);
        // One focal length for both directions: the sum of OpenCV's two.
        expectSame(ours.byIntrinsics[8 * k]!, theirs(6) + theirs(7), 'focal');
        for (let j = 1; j < 8; j++) expectSame(ours.byIntrinsics[8 * k + j]!, theirs(7 + j), `intrinsics ${j}`);
      }
    });
  });

  test('solvePnP finds the pose that drew the picture, in our parameters', () => {
    const image = points.map((p) => project(camera, p)!);
    const rotation = new cv.Mat();
    const translation = new cv.Mat();
    cv.solvePnP(
      cv.matFromArray(points.length, 1, cv.CV_64FC3, points.flat()),
      cv.matFromArray(points.length, 1, cv.CV_64FC2, image.flat()),
      matrixOf(intrinsics),
      column(intrinsics.distortion),
      rotation,
      translation,
      false,
      cv.SOLVEPNP_ITERATIVE,
    );
    for (const i of [0, 1, 2]) {
      expect(rotation.data64F[i]!).toBeCloseTo(camera.pose.rotation[i as 0], 5);
      expect(translation.data64F[i]!).toBeCloseTo(camera.pose.translation[i as 0], 3);
    }
  });

  test('Rodrigues gives the same matrix, near 0 and near half a turn as well', () => {
    for (const vector of [
      [0.3, -0.2, 0.9],
      [1e-7, -2e-7, 1e-7],
      [-3.1, 0.2, 0.1],
      [0, 0, 0],
    ] as Vector3[]) {
      const into = new cv.Mat();
      cv.Rodrigues(column(vector), into);
      rotationMatrix(vector).forEach((v, i) => expect(v).toBeCloseTo(into.data64F[i]!, 10));
    }
  });
});

describe('rotations', () => {
  test('vector to matrix and back', () => {
    fc.assert(
      fc.property(rotationVectors, (w) => {
        const back = rotationVector(rotationMatrix(w));
        expect(Math.hypot(...add(back, scale(w, -1)))).toBeLessThan(1e-7);
      }),
    );
  });

  test('half a turn keeps its axis but for the sign', () => {
    fc.assert(
      fc.property(
        rotationVectors.filter((w) => norm(w) > 0.1),
        (w) => {
          const half = scale(w, Math.PI / norm(w));
          const m = rotationMatrix(rotationVector(rotationMatrix(half)));
          rotationMatrix(half).forEach((v, i) => expect(m[i as 0]).toBeCloseTo(v, 7));
        },
      ),
    );
  });

  test('a matrix keeps lengths and handedness', () => {
    fc.assert(
      fc.property(rotationVectors, (w) => {
        const m = rotationMatrix(w);
        multiply(m, transpose(m)).forEach((v, i) => expect(v).toBeCloseTo(i % 4 === 0 ? 1 : 0, 10));
        const [a, b, c] = [0, 1, 2].map((i): Vector3 => transform(m, [+(i === 0), +(i === 1), +(i === 2)]));
        expect(dot(cross(a!, b!), c!)).toBeCloseTo(1, 10);
      }),
    );
  });
});

describe('camera', () => {
  test('pixel to ray to pixel', () => {
    fc.assert(
      fc.property(finite(0, 4031), finite(0, 3023), finite(50, 3000), lenses, (x, y, distance, distortion) => {
        const other = makeCamera({ ...intrinsics, distortion }, camera.pose);
        const { origin, direction } = ray(other, [x, y]);
        const back = project(other, addScaled(origin, direction, distance))!;
        expect(Math.hypot(back[0] - x, back[1] - y)).toBeLessThan(1e-6);
      }),
    );
  });

  test('undistort inverts distort over the whole frame', () => {
    fc.assert(
      fc.property(finite(-0.68, 0.68), finite(-0.52, 0.52), lenses, (x, y, distortion) => {
        const own = { ...intrinsics, distortion };
        const [a, b] = undistort(own, distort(own, x, y));
        expect(Math.hypot(a - x, b - y) * own.focal).toBeLessThan(1e-6);
      }),
    );
  });

  test('what lies behind or far outside does not show', () => {
    const centre = ray(camera, [2000, 1500]);
    expect(project(camera, addScaled(centre.origin, centre.direction, -100))).toBeUndefined();
    const folding = makeCamera(
      { ...intrinsics, distortion: [0.05, -0.2, 0, 0, 0] },
      { rotation: [0, 0, 0], translation: [0, 0, 0] },
    );
    // At 56 degrees off the axis this polynomial has turned back toward the centre.
    expect(project(folding, [1.5, 0, 1])).toBeUndefined();
    expect(projectionRows(folding, [1500, 0, 1000])).toBeUndefined();
    // This one turns back between 57 and 71 degrees and comes out again beyond: 72 degrees would show a second time.
    const returning: Intrinsics = { ...intrinsics, distortion: [0.03, -0.04, 0, 0, 0.004] };
    const twice = makeCamera(returning, { rotation: [0, 0, 0], translation: [0, 0, 0] });
    expect(project(twice, [3, 0, 1])).toBeUndefined();
    expect(project(twice, [1, 0, 1])).toEqual(distort(returning, 1, 0));
    expect(projectionRows(twice, [3000, 0, 1000])).toBeUndefined();
    expect(projectionRows(twice, [1000, 0, 1000])!.pixel).toEqual(distort(returning, 1, 0));
  });
});

describe('homography', () => {
  const square: Pixel[] = [
    [-112, 84],
    [112, 84],
    [112, -84],
    [-112, -84],
    [10, 60],
    [-40, -20],
  ];

  test('gives back the pose of a flat page', () => {
    fc.assert(
      fc.property(
        finite(-0.5, 0.5),
        finite(-0.5, 0.5),
        finite(-3, 3),
        finite(300, 900),
        (tiltX, tiltY, turn, distance) => {
          const own = makeCamera(
            { focal: 1, centre: [0, 0], distortion: [0, 0, 0, 0, 0] },
            {
              rotation: rotationVector(
                multiply(rotationMatrix([Math.PI + tiltX, tiltY, 0]), rotationMatrix([0, 0, turn])),
              ),
              translation: [20, -30, distance],
            },
          );
          const h = fitHomography(
            square,
            square.map(([u, v]) => project(own, [u, v, 0])!),
          )!;
          const pose = poseFromHomography(h);
          rotationMatrix(pose.rotation).forEach((v, i) => expect(v).toBeCloseTo(own.matrix[i as 0], 6));
          pose.translation.forEach((v, i) => expect(v).toBeCloseTo(own.pose.translation[i as 0], 3));
          for (const [u, v] of square) {
            const [x, y] = project(own, [u, v, 0])!;
            const [p, q] = applyHomography(h, [u, v]);
            expect(Math.hypot(p - x, q - y)).toBeLessThan(1e-9);
          }
        },
      ),
    );
  });

  test('is undefined where the points do not determine it', () => {
    expect(fitHomography(square.slice(0, 3), square.slice(0, 3))).toBeUndefined();
    const inLine = square.map((_, i): Pixel => [i, 2 * i]);
    expect(fitHomography(inLine, inLine)).toBeUndefined();
  });
});

describe('spline', () => {
  const spline: UniformSpline = { from: -10, to: 1190, segments: 6 };
  const coefficients = Array.from({ length: coefficientCount(spline) }, () => between(-3, 3));

  test('weights sum to 1 and a straight line comes back, beyond the ends too', () => {
    const h = (spline.to - spline.from) / spline.segments;
    const straight = coefficients.map((_, i) => 2 + 0.3 * (spline.from + (i - 1) * h));
    for (let t = -80; t <= 1260; t += 13) {
      expect(basisAt(spline, t).weights.reduce((a, b) => a + b, 0)).toBeCloseTo(1, 12);
      expect(splineValue(spline, straight, 0, t)).toBeCloseTo(2 + 0.3 * t, 9);
    }
  });

  test('slopes are the derivative, and pieces join twice smoothly', () => {
    const at = (t: number) => splineValue(spline, coefficients, 0, t);
    for (let t = -30; t <= 1220; t += 17) {
      const { first, slopes } = basisAt(spline, t);
      const slope = slopes.reduce((sum, s, i) => sum + s * coefficients[first + i]!, 0);
      expect(slope).toBeCloseTo((at(t + 0.01) - at(t - 0.01)) / 0.02, 8);
    }
    const bend = (t: number) => (at(t + 0.5) - 2 * at(t) + at(t - 0.5)) / 0.25;
    for (let knot = 190; knot < 1190; knot += 200) expect(bend(knot - 0.6)).toBeCloseTo(bend(knot + 0.6), 5);
  });
});

/** Every derivative of a block against Richardson's differences, within `limit` of 1 + its size. */
function expectDerivatives(block: ResidualBlock, values: Float64Array, limit = 2e-5): void {
  const width = block.parameters.length;
  const jacobian = new Float64Array(block.size * width);
  block.evaluate(values, new Float64Array(block.size), jacobian);
  const at = (parameter: number, step: number): Float64Array => {
    const moved = Float64Array.from(values);
    moved[parameter]! += step;
    const out = new Float64Array(block.size);
    block.evaluate(moved, out, undefined);
    return out;
  };
  for (let j = 0; j < width; j++) {
    const parameter = block.parameters[j]!;
    const step = 1e-5 * Math.max(1, Math.abs(values[parameter]!));
    const [a, b] = [at(parameter, step), at(parameter, -step)];
    const [c, d] = [at(parameter, step / 2), at(parameter, -step / 2)];
    for (let k = 0; k < block.size; k++) {
      const coarse = (a[k]! - b[k]!) / (2 * step);
      const fine = (c[k]! - d[k]!) / step;
      const numeric = (4 * fine - coarse) / 3;
      // Residuals run to some 1e3 (pixels over their sigma): differences lose ten of their sixteen digits.
      expect(
        Math.abs(jacobian[k * width + j]! - numeric) / (1 + Math.abs(numeric)),
        `residual ${k} by parameter ${parameter}`,
      ).toBeLessThan(limit);
    }
  }
}

describe('analytic derivatives against numeric', () => {
  // lens 8, own 3, pose 6, bleed 1, field, then what a block adds
  const grid: FieldGrid = { width: 4032, height: 3024, columns: 4, rows: 3 };
  const index: CameraIndex = { lens: 0, own: 8, pose: 11, bleed: 17, field: { grid, at: 18 } };
  const cameraValues = [
    intrinsics.focal,
    ...intrinsics.centre,
    ...intrinsics.distortion,
    0.0008,
    1.2,
    -0.7,
    ...camera.pose.rotation,
    ...camera.pose.translation,
    0.015,
    ...Array.from({ length: 2 * fieldSize(grid) }, () => 0),
  ];
  const own = cameraValues.length;
  /**
   * The field's weights are taken where a corner was read, and change by less than a hundredth up to where it is
   * predicted.
   */
  const fieldMoves = 1e-2;
  const normal = seededNormal(31);
  const near = (p: Pixel): Pixel => [p[0] + 2 * normal(), p[1] + 2 * normal()];
  /** The corners where the block itself puts them, read with noise. */
  const cornersNear = (
    blockOf: (corners: Tag['corners']) => ResidualBlock,
    values: Float64Array,
    read: (pixel: Pixel) => Pixel = near,
  ): Tag['corners'] => {
    const residuals = new Float64Array(8);
    const none = [0, 1, 2, 3].map((): Pixel => [0, 0]) as unknown as Tag['corners'];
    blockOf(none).evaluate(values, residuals, undefined);
    return none.map((_, i) =>
      read([0.1 * residuals[2 * i]!, 0.1 * residuals[2 * i + 1]!]),
    ) as unknown as Tag['corners'];
  };

  test('the rotation matrix, at rest, in general and near half a turn', () => {
    for (const w of [
      [0, 0, 0],
      [1e-6, 0, -1e-6],
      [0.4, -1.1, 0.3],
      [-3.1, 0.2, 0.1],
    ] as Vector3[]) {
      const { partials } = rotationWithDerivatives(w);
      for (const i of [0, 1, 2] as const) {
        const moved = (h: number) => rotationMatrix(w.map((v, k) => (k === i ? v + h : v)) as unknown as Vector3);
        const [p, q] = [moved(1e-5), moved(-1e-5)];
        partials[i].forEach((v, k) => expect(v).toBeCloseTo((p[k as 0] - q[k as 0]) / 2e-5, 6));
      }
    }
  });

  test.each([0, 0.3])("a mat tag's corners, paper waving by %f mm", (paper) => {
    const heights = [0.4, -0.2, 0.1, 0.6, 0, -0.5, 0.3, 0.2, -0.1, 0.7];
    const values = Float64Array.from([...cameraValues, 31.2, -4.1, 0.07, 0.991, 1.004, ...heights]);
    for (const id of [10, 13, 17]) {
      const tile = { place: own, heights: own + 5 };
      const blockOf = (corners: Tag['corners'], waves: number) =>
        tileTagBlock({ id, corners, sigma: 0.1 }, index, tile, own + 3, { corner: 0.1, paper: waves });
      // What the paper’s tilt hides is taken as it is, though the camera changes it: exact where nothing is missed.
      const corners = cornersNear((seen) => blockOf(seen, 0), values, paper > 0 ? (pixel) => pixel : near);
      expectDerivatives(blockOf(corners, paper), values, fieldMoves);
    }
  });

  test("the seat card's corners", () => {
    const values = Float64Array.from([...cameraValues, 0.12, -0.02, 0.4, 210, 5, 30, 0.991, 1.004]);
    for (const id of [580, 581]) {
      const blockOf = (corners: Tag['corners']) => cardTagBlock({ id, corners, sigma: 0.1 }, index, own, 0.1);
      expectDerivatives(blockOf(cornersNear(blockOf, values)), values, fieldMoves);
    }
  });

  const spline: UniformSpline = { from: -60, to: 560, segments: 3 };
  const radiusSpline: UniformSpline = { from: -60, to: 560, segments: 2 };
  const model: BlankModel = {
    lane: { origin: [10, -4], direction: [Math.cos(0.02), Math.sin(0.02)], from: -60, to: 560 },
    spline,
    side: 0,
    height: coefficientCount(spline),
    radiusSpline,
    radius: 2 * coefficientCount(spline),
    tip: 2 * coefficientCount(spline) + coefficientCount(radiusSpline),
  };
  const blankValues = Float64Array.from([
    2, 3.1, 1.4, 0.6, 1.2, 2, 4, 5.5, 7.2, 10, 13, 15, 0.7, 1.3, 2.1, 2.9, 3.6, 12.5,
  ]);
  const seenBy: Camera = makeCamera(
    {
      focal: intrinsics.focal * 1.0008,
      centre: [intrinsics.centre[0] + 1.2, intrinsics.centre[1] - 0.7],
      distortion: intrinsics.distortion,
    },
    camera.pose,
  );

  test('a point of the outline: along its normal, by axis and radius', () => {
    // The block takes the outline at one t for one point of it; taper and bow let it slide by a few thousandths of a
    // move.
    const outlineLimit = 5e-3;
    const eye = ray(seenBy, [2000, 1500]).origin;
    for (const t of [30, 180, 333]) {
      for (const side of [1, -1] as const) {
        const station = stationAt(model, blankValues, t);
        const on = (at: typeof station) =>
          project(seenBy, addScaled(at.point, outlineDirection(at, eye, side), at.radius))!;
        // The normal is that of the outline itself, as the fit measures it.
        const [p, q] = [on(stationAt(model, blankValues, t - 0.5)), on(stationAt(model, blankValues, t + 0.5))];
        const length = Math.hypot(q[0] - p[0], q[1] - p[1]);
        const normalPixel: Pixel = [(q[1] - p[1]) / length, -(q[0] - p[0]) / length];
        expectDerivatives(
          outlineBlock(
            model,
            seenBy,
            { t, side, pixel: on(station), normal: normalPixel, slope: 20, paired: true },
            0.3,
          ),
          blankValues,
          outlineLimit,
        );
      }
    }
  });

  test('the tip end: by the tip itself', () => {
    const end = stationAt(model, blankValues, blankValues[model.tip]!);
    const at = project(seenBy, end.point)!;
    const out = project(seenBy, addScaled(end.point, end.along, -1))!;
    const length = Math.hypot(out[0] - at[0], out[1] - at[1]);
    const seen = {
      pixel: near(at),
      normal: [(out[0] - at[0]) / length, (out[1] - at[1]) / length] as Pixel,
      offset: 0,
      perMm: 5,
      sigma: 0.2,
    };
    const block = tipBlock(model, seenBy, seen, blankValues[model.tip]!);
    const jacobian = new Float64Array(block.parameters.length);
    block.evaluate(blankValues, new Float64Array(1), jacobian);
    const moved = (h: number) => {
      const values = Float64Array.from(blankValues);
      values[model.tip]! += h;
      const r = new Float64Array(1);
      block.evaluate(values, r, undefined);
      return r[0]!;
    };
    const numeric = (moved(0.01) - moved(-0.01)) / 0.02;
    // The rim's own small turn with the taper and the bow is left out: under a thousandth of the whole.
    expect(Math.abs(jacobian[jacobian.length - 1]! / numeric - 1)).toBeLessThan(0.005);
  });
});
