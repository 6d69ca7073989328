import { brown, type BrownImage, makeBrownImage } from './brown.ts';
import { rotationMatrix } from './rotation.ts';
import type { Matrix3, Vector3 } from './vector.ts';

/**
 * The projection of one bench point with its derivatives; arrays are filled in place so a solver's inner loop allocates
 * nothing. Parameters are flat: pose = rotation vector (3), translation (3, mm); intrinsics = focal, centre x, centre
 * y, k1, k2, p1, p2, k3.
 */
export interface ProjectionJacobian {
  image: BrownImage;
  /** x, y, pixels */
  pixel: Float64Array;
  /** 2 x 3, by the bench point */
  byPoint: Float64Array;
  /** 2 x 6 */
  byPose: Float64Array;
  /** 2 x 8 */
  byIntrinsics: Float64Array;
}

export const makeProjectionJacobian = (): ProjectionJacobian => ({
  image: makeBrownImage(),
  pixel: new Float64Array(2),
  byPoint: new Float64Array(6),
  byPose: new Float64Array(12),
  byIntrinsics: new Float64Array(16),
});

/**
 * The rotation matrix of a rotation vector and its three partial derivatives, by the compact formula of Gallego and
 * Yezzi, "A compact formula for the derivative of a 3-D rotation in exponential coordinates", J. Math. Imaging Vis. 51
 * (2015).
 */
export function rotationWithDerivatives(w: Vector3): { matrix: Matrix3; partials: [Matrix3, Matrix3, Matrix3] } {
  const matrix = rotationMatrix(w);
  const square = w[0] * w[0] + w[1] * w[1] + w[2] * w[2];
  const skew = (v: Vector3): Matrix3 => [0, -v[2], v[1], v[2], 0, -v[0], -v[1], v[0], 0];
  const partial = (i: 0 | 1 | 2): Matrix3 => {
    const e: Vector3 = [i === 0 ? 1 : 0, i === 1 ? 1 : 0, i === 2 ? 1 : 0];
    if (square < 1e-16) return skew(e);
    // (I - R) e_i
    const d: Vector3 = [e[0] - matrix[i], e[1] - matrix[(3 + i) as 3], e[2] - matrix[(6 + i) as 6]];
    const v: Vector3 = [w[1] * d[2] - w[2] * d[1], w[2] * d[0] - w[0] * d[2], w[0] * d[1] - w[1] * d[0]];
    const k = skew([(w[i] * w[0] + v[0]) / square, (w[i] * w[1] + v[1]) / square, (w[i] * w[2] + v[2]) / square]);
    const out: number[] = [];
    for (let r = 0; r < 3; r++)
      for (let c = 0; c < 3; c++)
        out.push(
          k[(3 * r) as 0]! * matrix[c as 0]! +
            k[(3 * r + 1) as 0]! * matrix[(3 + c) as 0]! +
            k[(3 * r + 2) as 0]! * matrix[(6 + c) as 0]!,
        );
    return out as unknown as Matrix3;
  };
  return { matrix, partials: [partial(0), partial(1), partial(2)] };
}

export type RotationWithDerivatives = ReturnType<typeof rotationWithDerivatives>;

/** Fills `out` for a bench point; `false` when it lies behind the camera (out is then not to be used). */
export function projectWithJacobian(
  intrinsics: ArrayLike<number>,
  rotation: RotationWithDerivatives,
  translation: ArrayLike<number>,
  X: ArrayLike<number>,
  out: ProjectionJacobian,
): boolean {
  const m = rotation.matrix;
  const X0 = X[0]!;
  const X1 = X[1]!;
  const X2 = X[2]!;
  const cx = m[0] * X0 + m[1] * X1 + m[2] * X2 + translation[0]!;
  const cy = m[3] * X0 + m[4] * X1 + m[5] * X2 + translation[1]!;
  const cz = m[6] * X0 + m[7] * X1 + m[8] * X2 + translation[2]!;
  if (!(cz > 1e-6)) return false;
  const f = intrinsics[0]!;
  const x = cx / cz;
  const y = cy / cz;
  const image = brown(
    [intrinsics[3]!, intrinsics[4]!, intrinsics[5]!, intrinsics[6]!, intrinsics[7]!],
    x,
    y,
    out.image,
  );
  out.pixel[0] = f * image.x + intrinsics[1]!;
  out.pixel[1] = f * image.y + intrinsics[2]!;
  // by normalised x, y
  const xx = f * image.xx;
  const xy = f * image.xy;
  const yx = xy;
  const yy = f * image.yy;
  // by camera coordinates
  const a0 = xx / cz;
  const a1 = xy / cz;
  const a2 = -(xx * x + xy * y) / cz;
  const b0 = yx / cz;
  const b1 = yy / cz;
  const b2 = -(yx * x + yy * y) / cz;
  for (let j = 0; j < 3; j++) {
    out.byPoint[j] = a0 * m[j as 0]! + a1 * m[(3 + j) as 3]! + a2 * m[(6 + j) as 6]!;
    out.byPoint[3 + j] = b0 * m[j as 0]! + b1 * m[(3 + j) as 3]! + b2 * m[(6 + j) as 6]!;
    const d = rotation.partials[j as 0];
    const d0 = d[0] * X0 + d[1] * X1 + d[2] * X2;
    const d1 = d[3] * X0 + d[4] * X1 + d[5] * X2;
    const d2 = d[6] * X0 + d[7] * X1 + d[8] * X2;
    out.byPose[j] = a0 * d0 + a1 * d1 + a2 * d2;
    out.byPose[6 + j] = b0 * d0 + b1 * d1 + b2 * d2;
  }
  out.byPose[3] = a0;
  out.byPose[4] = a1;
  out.byPose[5] = a2;
  out.byPose[9] = b0;
  out.byPose[10] = b1;
  out.byPose[11] = b2;
  fillByIntrinsics(f, x, y, out);
  return true;
}

/** Derivatives by focal length, centre and distortion at a direction (x, y) whose image stands in `out`. */
function fillByIntrinsics(f: number, x: number, y: number, { image, byIntrinsics: q }: ProjectionJacobian): void {
  const r2 = x * x + y * y;
  q[0] = image.x;
  q[1] = 1;
  q[2] = 0;
  q[3] = f * x * r2;
  q[4] = f * x * r2 * r2;
  q[5] = f * 2 * x * y;
  q[6] = f * (r2 + 2 * x * x);
  q[7] = f * x * r2 * r2 * r2;
  q[8] = image.y;
  q[9] = 0;
  q[10] = 1;
  q[11] = f * y * r2;
  q[12] = f * y * r2 * r2;
  q[13] = f * (r2 + 2 * y * y);
  q[14] = f * 2 * x * y;
  q[15] = f * y * r2 * r2 * r2;
}
