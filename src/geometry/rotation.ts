import { type Matrix3, norm, type Vector3 } from './vector.ts';

/** Rotation matrix of a rotation vector (axis times angle, radians): Rodrigues' formula. */
export function rotationMatrix(vector: Vector3): Matrix3 {
  const angle = norm(vector);
  if (angle < 1e-12) return [1, -vector[2], vector[1], vector[2], 1, -vector[0], -vector[1], vector[0], 1];
  const [x, y, z] = [vector[0] / angle, vector[1] / angle, vector[2] / angle];
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  const d = 1 - c;
  return [
    c + x * x * d,
    x * y * d - z * s,
    x * z * d + y * s,
    y * x * d + z * s,
    c + y * y * d,
    y * z * d - x * s,
    z * x * d - y * s,
    z * y * d + x * s,
    c + z * z * d,
  ];
}

/** Rotation vector (axis times angle in [0, pi], radians) of a rotation matrix; the inverse of `rotationMatrix`. */
export function rotationVector(m: Matrix3): Vector3 {
  // By way of the unit quaternion, taken from the largest of its four parts: stable at every angle, pi included.
  const trace = m[0] + m[4] + m[8];
  let w: number;
  let x: number;
  let y: number;
  let z: number;
  if (trace > 0) {
    const r = Math.sqrt(1 + trace) * 2;
    [w, x, y, z] = [r / 4, (m[7] - m[5]) / r, (m[2] - m[6]) / r, (m[3] - m[1]) / r];
  } else if (m[0] >= m[4] && m[0] >= m[8]) {
    const r = Math.sqrt(1 + m[0] - m[4] - m[8]) * 2;
    [w, x, y, z] = [(m[7] - m[5]) / r, r / 4, (m[1] + m[3]) / r, (m[2] + m[6]) / r];
  } else if (m[4] >= m[8]) {
    const r = Math.sqrt(1 + m[4] - m[0] - m[8]) * 2;
    [w, x, y, z] = [(m[2] - m[6]) / r, (m[1] + m[3]) / r, r / 4, (m[5] + m[7]) / r];
  } else {
    const r = Math.sqrt(1 + m[8] - m[0] - m[4]) * 2;
    [w, x, y, z] = [(m[3] - m[1]) / r, (m[2] + m[6]) / r, (m[5] + m[7]) / r, r / 4];
  }
  if (w < 0) [w, x, y, z] = [-w, -x, -y, -z];
  const s = Math.hypot(x, y, z);
  const k = s < 1e-12 ? 2 : (2 * Math.atan2(s, w)) / s;
  return [k * x, k * y, k * z];
}
