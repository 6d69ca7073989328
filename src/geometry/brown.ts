/** Brown's distortion, in OpenCV's order: k1 k2 p1 p2 k3 (Brown 1971, as OpenCV's calib3d states it). */
export type BrownDistortion = readonly [number, number, number, number, number];

/**
 * Distorted coordinates of one direction and their derivatives; filled in place, so that inner loops allocate nothing.
 */
export interface BrownImage {
  x: number;
  y: number;
  /** d x / d x, d x / d y = d y / d x, d y / d y */
  xx: number;
  xy: number;
  yy: number;
}

export const makeBrownImage = (): BrownImage => ({ x: 0, y: 0, xx: 1, xy: 0, yy: 1 });

/** Distorts normalised image coordinates (x/z, y/z; focal length 1, centre 0) into `out`, which it returns. */
export function brown(distortion: BrownDistortion, x: number, y: number, out: BrownImage): BrownImage {
  const k1 = distortion[0];
  const k2 = distortion[1];
  const p1 = distortion[2];
  const p2 = distortion[3];
  const k3 = distortion[4];
  const r2 = x * x + y * y;
  const radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3));
  // d radial / d r2, times 2
  const slope = 2 * (k1 + r2 * (2 * k2 + 3 * r2 * k3));
  out.x = x * radial + 2 * p1 * x * y + p2 * (r2 + 2 * x * x);
  out.y = y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y;
  out.xx = radial + slope * x * x + 2 * p1 * y + 6 * p2 * x;
  out.xy = slope * x * y + 2 * p1 * x + 2 * p2 * y;
  out.yy = radial + slope * y * y + 6 * p1 * y + 2 * p2 * x;
  return out;
}

/** Directions nearer to the axis than this (squared radius; 38 degrees) are in no doubt. */
const nearAxis = 0.6;
/** What is left of the picture's growth with the radius where a direction is taken to be beyond the lens. */
const leastGrowth = 0.3;

/**
 * Whether the polynomial folds back, or nearly, anywhere between the axis and a direction of this squared radius: what
 * lies beyond would show inside the frame, or come round once more, and no lens does that.
 */
export const foldsBack = (distortion: BrownDistortion, r2: number): boolean =>
  // asked for every projection: what needs functions of its own is asked apart
  r2 > nearAxis && foldsBeyond(distortion, r2);

function foldsBeyond([k1, k2, , , k3]: BrownDistortion, r2: number): boolean {
  const growth = (s: number) => 1 + s * (3 * k1 + s * (5 * k2 + s * 7 * k3));
  const folds = (s: number) => s > 0 && s <= r2 && growth(s) < leastGrowth;
  if (folds(r2)) return true;
  // Between the two the growth is least where its own derivative, a quadratic, is zero.
  const [a, b, c] = [21 * k3, 10 * k2, 3 * k1];
  const root = Math.sqrt(b * b - 4 * a * c);
  if (a === 0) return b !== 0 && folds(-c / b);
  return folds((-b + root) / (2 * a)) || folds((-b - root) / (2 * a));
}

/** Normalised coordinates of distorted ones: the inverse of `brown` by Newton's iteration. */
export function undoBrown(distortion: BrownDistortion, u: number, v: number): readonly [number, number] {
  const at = makeBrownImage();
  let x = u;
  let y = v;
  for (let i = 0; i < 20; i++) {
    brown(distortion, x, y, at);
    const missX = u - at.x;
    const missY = v - at.y;
    const determinant = at.xx * at.yy - at.xy * at.xy;
    // Where the polynomial folds back there is no way to go; a plain step leads out of there.
    const [dx, dy] =
      determinant > 0.05
        ? [(at.yy * missX - at.xy * missY) / determinant, (at.xx * missY - at.xy * missX) / determinant]
        : [missX, missY];
    x += dx;
    y += dy;
    if (Math.abs(dx) + Math.abs(dy) < 1e-12) break;
  }
  return [x, y];
}
