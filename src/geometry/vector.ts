/** A point or direction in space, millimetres unless a caller says otherwise; x, y, z. */
export type Vector3 = readonly [number, number, number];
/** A point in the upright photo, pixels; (0, 0) is the centre of the first pixel (OpenCV's convention). */
export type Pixel = readonly [number, number];
/** A 3 x 3 matrix, row by row. */
export type Matrix3 = readonly [number, number, number, number, number, number, number, number, number];

export const add = (a: Vector3, b: Vector3): Vector3 => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const subtract = (a: Vector3, b: Vector3): Vector3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const scale = (a: Vector3, k: number): Vector3 => [a[0] * k, a[1] * k, a[2] * k];
export const dot = (a: Vector3, b: Vector3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: Vector3, b: Vector3): Vector3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
// Several times as fast as `Math.hypot`, which guards against lengths that no photo or bench has.
export const norm = (a: Vector3): number => Math.sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2]);
/** Distance between two places of a photo, pixels. */
export const pixelsApart = (a: Pixel, b: Pixel): number => Math.sqrt((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2);
/** The unit vector along `a`; a zero vector gives NaN. */
export const unit = (a: Vector3): Vector3 => scale(a, 1 / norm(a));
/** a + k b. */
export const addScaled = (a: Vector3, b: Vector3, k: number): Vector3 => [
  a[0] + k * b[0],
  a[1] + k * b[1],
  a[2] + k * b[2],
];
export const transform = (m: Matrix3, v: Vector3): Vector3 => [
  m[0] * v[0] + m[1] * v[1] + m[2] * v[2],
  m[3] * v[0] + m[4] * v[1] + m[5] * v[2],
  m[6] * v[0] + m[7] * v[1] + m[8] * v[2],
];
export const transpose = (m: Matrix3): Matrix3 => [m[0], m[3], m[6], m[1], m[4], m[7], m[2], m[5], m[8]];
export const multiply = (a: Matrix3, b: Matrix3): Matrix3 => {
  const row = (i: 0 | 3 | 6, j: 0 | 1 | 2) =>
    a[i] * b[j] + a[(i + 1) as 1] * b[(j + 3) as 3] + a[(i + 2) as 2] * b[(j + 6) as 6];
  return [row(0, 0), row(0, 1), row(0, 2), row(3, 0), row(3, 1), row(3, 2), row(6, 0), row(6, 1), row(6, 2)];
};
