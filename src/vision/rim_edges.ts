import { brown, type BrownImage, foldsBack, makeBrownImage } from '../geometry/brown.ts';
import { type Camera, cameraCentre } from '../geometry/camera.ts';
import { fieldShift } from '../geometry/lens_field.ts';
import { type Ring, type RimPoint, ringRims } from '../geometry/ring.ts';
import { add, dot, type Matrix3, scale, type Pixel, pixelsApart, type Vector3 } from '../geometry/vector.ts';
import { border, isInPhoto } from '../geometry/in_photo.ts';
import type { Photo } from '../photo/photo.ts';
import { edgesAcross, type ProfileEdge, slopeOfNoise } from './edge_profile.ts';
import type { View } from './strip.ts';

/** A place on a ring's projected rim and the edges the photo has across it. */
export interface RimSample {
  rim: RimPoint;
  /** the rim's place in the photo, and the unit direction square to it, away from the ring's material */
  pixel: Pixel;
  outward: Pixel;
  /** `outward` carried to space: how many pixels a bench displacement of 1 mm moves the rim along it */
  gradient: Vector3;
  edges: ProfileEdge[];
}

/** A projected point, and what its derivatives need; kept from call to call, as fits project millions of points. */
interface Projected {
  x: number;
  y: number;
  /** pixels a unit of the normalised picture at the point's distance, a mm */
  k: number;
  pixelX: number;
  pixelY: number;
  brown: BrownImage;
}
const projected: Projected = { x: 0, y: 0, k: 0, pixelX: 0, pixelY: 0, brown: makeBrownImage() };
const shift: [number, number] = [0, 0];

/** Fills `projected` with a bench point's place in the photo; false where no lens shows it. */
function projectInto(camera: Camera, point: Vector3): boolean {
  const m = camera.matrix;
  const t = camera.pose.translation;
  const X = m[0] * point[0] + m[1] * point[1] + m[2] * point[2] + t[0];
  const Y = m[3] * point[0] + m[4] * point[1] + m[5] * point[2] + t[1];
  const Z = m[6] * point[0] + m[7] * point[1] + m[8] * point[2] + t[2];
  if (Z <= 1) return false;
  const x = X / Z;
  const y = Y / Z;
  const { focal, centre, distortion, field } = camera.intrinsics;
  if (foldsBack(distortion, x * x + y * y)) return false;
  const at = brown(distortion, x, y, projected.brown);
  projected.x = x;
  projected.y = y;
  projected.k = focal / Z;
  projected.pixelX = focal * at.x + centre[0];
  projected.pixelY = focal * at.y + centre[1];
  if (field) {
    fieldShift(field, projected.pixelX, projected.pixelY, shift);
    projected.pixelX += shift[0];
    projected.pixelY += shift[1];
  }
  return true;
}

/**
 * Derivative of what was projected last (pixels) by its bench point (mm), row by row. The lens's field bends by a
 * hundredth of a pixel a pixel and less: it shifts the place, not the derivatives.
 */
function rowsOfProjected({ matrix: m }: Camera): { u: Vector3; v: Vector3 } {
  const { x, y, k, brown: at } = projected;
  return {
    u: projectionRow(m, k, at.xx, at.xy, -(at.xx * x + at.xy * y)),
    v: projectionRow(m, k, at.xy, at.yy, -(at.xy * x + at.yy * y)),
  };
}

/** A bench point's place (pixels), derived by the point (mm) row by row; undefined where no lens shows it. */
export function projectionRows(camera: Camera, point: Vector3): { pixel: Pixel; u: Vector3; v: Vector3 } | undefined {
  if (!projectInto(camera, point)) return undefined;
  return { pixel: [projected.pixelX, projected.pixelY], ...rowsOfProjected(camera) };
}

const projectionRow = (m: Matrix3, k: number, a: number, b: number, c: number): Vector3 => [
  k * (a * m[0] + b * m[3] + c * m[6]),
  k * (a * m[1] + b * m[4] + c * m[7]),
  k * (a * m[2] + b * m[5] + c * m[8]),
];

/** How a ring's rims are walked. */
const rims = {
  /** grey levels a pixel: flatter than this is shading, not an edge */
  leastSlope: 2,
  /** pixels along the rim that one look averages, at most: broader, a mark beside it joins in */
  mostBreadth: 6,
  /** points round a rim, of which those closer than the spacing asked for are left out; more cost time */
  points: 96,
  /** pixels beyond the reach that stay clear of the photo's border, for the filter's own reach */
  border: 4,
} as const;

/** Pixels per mm, square to the line of sight. */
export const pixelScale = (u: Vector3, v: Vector3): number => Math.sqrt((dot(u, u) + dot(v, v)) / 2);

/** How a ring's rims are looked at in one photo. */
export interface RimLook {
  /** pixels to both sides of a rim within which edges count */
  reach: number;
  /** pixels along the rim from place to place, about */
  spacing: number;
  /** standard deviation of the luma's noise, grey levels */
  noise: number;
  /** only edges so many times as steep as noise gets count; 1 when absent */
  clear?: number;
}

/** The ring's rims in one photo, with the edges near each place. */
export function sampleRims(view: View, ring: Ring, { reach, spacing, noise, clear = 1 }: RimLook): RimSample[] {
  const { photo, camera } = view;
  const middle = projectionRows(camera, ring.centre);
  if (!middle) return [];
  // Over a breadth of the square root of the radius the rim bends by an eighth of a pixel.
  const breadth = Math.min(rims.mostBreadth, Math.sqrt(ring.outer * pixelScale(middle.u, middle.v)));
  const look = { reach, breadth, least: Math.max(rims.leastSlope, clear * slopeOfNoise(noise, breadth)) };
  const samples: RimSample[] = [];
  const within = border(reach + rims.border);
  for (const run of ringRims(ring, cameraCentre(camera), rims.points)) {
    let last: Pixel | undefined;
    for (const rim of run) {
      if (!projectInto(camera, rim.point)) continue;
      const pixel: Pixel = [projected.pixelX, projected.pixelY];
      if (last && pixelsApart(pixel, last) < spacing) continue;
      const { u, v } = rowsOfProjected(camera);
      const normal = add(scale(rim.radial, rim.normalRadial), scale(ring.normal, rim.normalAxial));
      let gx = dot(u, normal);
      let gy = dot(v, normal);
      if (rim.part === 'face-bore' || rim.part === 'face-outer') [gx, gy] = creaseNormal(ring, rim, u, v);
      const length = Math.sqrt(gx * gx + gy * gy);
      if (length < 1e-6) continue;
      const outward: Pixel = [gx / length, gy / length];
      if (!isInPhoto(photo, pixel, within)) continue;
      last = pixel;
      samples.push({
        rim,
        pixel,
        outward,
        gradient: add(scale(u, outward[0]), scale(v, outward[1])),
        edges: edgesAcross(photo, pixel, outward, look),
      });
    }
  }
  return samples;
}

/** A crease is a circle fixed to the ring: its normal in the photo is square to the circle's projected tangent. */
function creaseNormal(ring: Ring, rim: RimPoint, u: Vector3, v: Vector3): [number, number] {
  const n = ring.normal;
  const r = rim.radial;
  const tangent: Vector3 = [n[1] * r[2] - n[2] * r[1], n[2] * r[0] - n[0] * r[2], n[0] * r[1] - n[1] * r[0]];
  const tx = dot(u, tangent);
  const ty = dot(v, tangent);
  const sign = Math.sign(ty * dot(u, r) - tx * dot(v, r)) || 1;
  const way = rim.part === 'face-bore' ? -sign : sign;
  return [way * ty, -way * tx];
}

/** Whether a photo shows the whole of a ring's outline, with a margin in pixels. */
export function showsRing(photo: Photo, camera: Camera, ring: Ring, margin: number): boolean {
  for (let k = 0; k < 8; k++) {
    const [x, y, z] = ring.centre;
    const r = ring.outer;
    // A box round the ring is enough: which way it faces does not matter here.
    const at = projectionRows(camera, [x + (k & 1 ? r : -r), y + (k & 2 ? r : -r), z + (k & 4 ? r : -r)]);
    if (!at) return false;
    if (!isInPhoto(photo, at.pixel, border(margin))) return false;
  }
  return true;
}
