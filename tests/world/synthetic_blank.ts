import type { BlankAxis } from '../../src/geometry/blank_axis.ts';
import { type Camera, cameraCentre, makeCamera, ray } from '../../src/geometry/camera.ts';
import { rotationMatrix } from '../../src/geometry/rotation.ts';
import { add, addScaled, scale, subtract, transform, type Vector3 } from '../../src/geometry/vector.ts';
import type { Photo } from '../../src/photo/photo.ts';
import type { View } from '../../src/vision/strip.ts';
import { seededNormal } from './seeded_random.ts';

/** Reflectance in red, green, blue, 0..1, linear. */
export type Reflectance = readonly [number, number, number];

export interface SyntheticScene {
  axis: BlankAxis;
  /** the surface's reflectance at arc length s (mm) and roll (degrees) */
  paint: (s: number, roll: number) => Reflectance;
  /** strength and sharpness (Phong 1975) of the lamp's mirror image on the surface */
  gloss?: { strength: number; exponent: number };
  /** direction to the lamp, unit vector */
  lamp?: Vector3;
  /** standard deviation of the sensor's noise, levels of 255 */
  noise?: number;
  /** standard deviation of the lens blur, pixels */
  blur?: number;
  seed?: number;
}

/** A smooth random function of one variable, about unit variance, changing over `scale`. */
export function wavering(seed: number, grain: number): (x: number) => number {
  const at = (i: number): number => {
    return seededNormal(seed * 7919 + i * 104729 + 17)();
  };
  return (x) => {
    const i = Math.floor(x / grain);
    const t = x / grain - i;
    const k = t * t * (3 - 2 * t);
    return at(i) * (1 - k) + at(i + 1) * k;
  };
}

/** A straight blank along x, tip at x = 0, its axis `height` mm over the bench. */
export function straightAxis(length: number, tipRadius: number, buttRadius: number, height: number): BlankAxis {
  const rows = Math.round(length / 10) + 1;
  return {
    from: 0,
    step: 10,
    points: Array.from({ length: rows }, (_, i) => [i * 10, 0, height] as const),
    radii: Array.from({ length: rows }, (_, i) => tipRadius + ((buttRadius - tipRadius) * i) / (rows - 1)),
  };
}

/**
 * A camera `distance` mm from (x, 0, 0), turned by `tilt` degrees about the rod: it looks from the side at tilt <> 0.
 */
export function cameraOver(
  x: number,
  distance: number,
  options: { tilt?: number; focal?: number; width?: number; height?: number } = {},
): { camera: Camera; width: number; height: number } {
  const { tilt = 0, focal = 3000, width = 2000, height = 320 } = options;
  const rotation: Vector3 = [Math.PI + (tilt * Math.PI) / 180, 0, 0];
  const matrix = rotationMatrix(rotation);
  const back: Vector3 = [-matrix[6] * distance, -matrix[7] * distance, -matrix[8] * distance];
  const centre: Vector3 = [x + back[0], back[1], back[2]];
  const translation = scale(transform(matrix, centre), -1);
  const intrinsics = {
    focal,
    centre: [(width - 1) / 2, (height - 1) / 2] as const,
    distortion: [0.02, -0.01, 0, 0, 0] as const,
  };
  return { camera: makeCamera(intrinsics, { rotation, translation }), width, height };
}

const encode = (v: number): number => 255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055);

/** A block of pixels whose middle lies so far beyond the blank's side shows paper alone, mm. */
const paperBeyond = 4;

/** Renders the blank over white paper: rays against the cone, 3 x 3 a pixel, blur, sRGB, noise, half-size colour. */
export function renderBlank(scene: SyntheticScene, shot: { camera: Camera; width: number; height: number }): View {
  const { camera, width, height } = shot;
  const { axis } = scene;
  const lamp = scene.lamp ?? [0, 0, 1];
  const linear = [0, 1, 2].map(() => new Float32Array(width * height).fill(0.8));
  const origin = cameraCentre(camera);
  const height0 = axis.points[0]![2];
  const end = axis.from + (axis.points.length - 1) * axis.step;
  const widest = Math.max(...axis.radii) * 1.2;
  /** How far a line of sight passes from the axis's line, mm squared; below 0 by rounding only. */
  const apart = (sight: Vector3): number => {
    const a = sight[1] ** 2 + sight[2] ** 2;
    const b = origin[1] * sight[1] + (origin[2] - height0) * sight[2];
    const c = origin[1] ** 2 + (origin[2] - height0) ** 2;
    return c - (b * b) / a;
  };
  const draw = (x: number, y: number) => {
    const sight = ray(camera, [x, y]).direction;
    if (apart(sight) > widest * widest) return;
    const right = subtract(ray(camera, [x + 1, y]).direction, sight);
    const down = subtract(ray(camera, [x, y + 1]).direction, sight);
    let sum: Reflectance = [0, 0, 0];
    for (let sub = 0; sub < 9; sub++) {
      const direction = addScaled(addScaled(sight, right, ((sub % 3) - 1) / 3), down, (Math.floor(sub / 3) - 1) / 3);
      sum = add(sum, seen(scene, direction, hit(origin, direction, axis, height0, end), lamp));
    }
    for (let i = 0; i < 3; i++) linear[i]![y * width + x] = sum[i]! / 9;
  };
  // Far from the blank there is only paper: told block by block, each a millimetre or two across.
  const block = 8;
  for (let top = 0; top < height; top += block)
    for (let left = 0; left < width; left += block) {
      const middle = ray(camera, [left + block / 2, top + block / 2]).direction;
      if (apart(middle) > (widest + paperBeyond) ** 2) continue;
      for (let y = top; y < Math.min(top + block, height); y++)
        for (let x = left; x < Math.min(left + block, width); x++) draw(x, y);
    }
  const blurred = linear.map((plane) => gaussian(plane, width, height, scene.blur ?? 0.5));
  return { photo: toPhoto(blurred, width, height, scene.noise ?? 2, scene.seed ?? 1), camera };
}

interface Hit {
  s: number;
  roll: number;
  /** outward, across the blank: y and z */
  normal: readonly [number, number];
}

/** Light that comes back along a ray: paper, or the blank's diffuse colour and the lamp's mirror image. */
function seen(scene: SyntheticScene, direction: Vector3, place: Hit | undefined, lamp: Vector3): Reflectance {
  if (place === undefined) return [0.8, 0.8, 0.8];
  const [ny, nz] = place.normal;
  const diffuse = 0.35 + 0.65 * Math.max(ny * lamp[1] + nz * lamp[2], 0);
  const facing = ny * direction[1] + nz * direction[2];
  const my = direction[1] - 2 * facing * ny;
  const mz = direction[2] - 2 * facing * nz;
  // The lamp is a tube along the rod: its image is a line along the blank.
  const align = Math.max((my * lamp[1] + mz * lamp[2]) / Math.max(Math.hypot(my, mz), 1e-9), 0);
  const shine = scene.gloss === undefined ? 0 : scene.gloss.strength * align ** scene.gloss.exponent;
  const paint = scene.paint(place.s, place.roll);
  return [paint[0] * diffuse + shine, paint[1] * diffuse + shine, paint[2] * diffuse + shine];
}

function hit(origin: Vector3, direction: Vector3, axis: BlankAxis, height: number, end: number): Hit | undefined {
  const oz = origin[2] - height;
  const a = direction[1] ** 2 + direction[2] ** 2;
  const b = origin[1] * direction[1] + oz * direction[2];
  const c = origin[1] ** 2 + oz ** 2;
  let s = origin[0] - (b / a) * direction[0];
  let t = 0;
  let radius = 1;
  for (let pass = 0; pass < 3; pass++) {
    const place = Math.min(Math.max((s - axis.from) / axis.step, 0), axis.radii.length - 1.001);
    const i = Math.floor(place);
    radius = axis.radii[i]! + (axis.radii[i + 1]! - axis.radii[i]!) * (place - i);
    const inside = b * b - a * (c - radius * radius);
    if (inside < 0) return undefined;
    t = (-b - Math.sqrt(inside)) / a;
    s = origin[0] + t * direction[0];
  }
  if (s < axis.from || s > end) return undefined;
  const normal = [(origin[1] + t * direction[1]) / radius, (oz + t * direction[2]) / radius] as const;
  // Right as seen from the butt is +y for a blank along +x; roll is positive clockwise from there.
  return { s, roll: (Math.atan2(normal[0], normal[1]) * 180) / Math.PI, normal };
}

function gaussian(plane: Float32Array, width: number, height: number, sigma: number): Float32Array {
  const reach = Math.ceil(3 * sigma);
  const kernel = Float64Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-0.5 * ((i - reach) / sigma) ** 2));
  const total = kernel.reduce((p, q) => p + q, 0);
  const pass = (from: Float32Array, across: boolean): Float32Array => {
    const out = new Float32Array(from.length);
    const size = across ? width : height;
    const step = across ? 1 : width;
    for (let i = 0; i < from.length; i++) {
      const at = across ? i % width : Math.floor(i / width);
      const inside = at >= reach && at < size - reach;
      let sum = 0;
      for (let d = -reach; d <= reach; d++) {
        const to = inside ? d : Math.min(Math.max(at + d, 0), size - 1) - at;
        sum += kernel[d + reach]! * from[i + to * step]!;
      }
      out[i] = sum / total;
    }
    return out;
  };
  return pass(pass(plane, true), false);
}

/** Linear planes to a photo: sRGB, noise, BT.601, colour at half size. */
function toPhoto(planes: readonly Float32Array[], width: number, height: number, noise: number, seed: number): Photo {
  const next = seededNormal(seed);
  const [reds, greens, blues] = planes as [Float32Array, Float32Array, Float32Array];
  let before = { light: 0, code: 0 };
  const level = (light: number): number => {
    const grain = next() * noise;
    // most pixels are paper like the one before
    if (light !== before.light) before = { light, code: encode(Math.max(light, 0)) };
    return Math.min(Math.max(before.code + grain, 0), 255);
  };
  const halfWidth = (width + 1) >> 1;
  const halfHeight = (height + 1) >> 1;
  const luma = new Uint8Array(width * height);
  const blue = new Float32Array(halfWidth * halfHeight);
  const red = new Float32Array(halfWidth * halfHeight);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      const r = level(reds[i]!);
      const g = level(greens[i]!);
      const b = level(blues[i]!);
      const value = 0.299 * r + 0.587 * g + 0.114 * b;
      luma[i] = Math.round(value);
      const j = (y >> 1) * halfWidth + (x >> 1);
      blue[j]! += (0.564 * (b - value)) / 4;
      red[j]! += (0.713 * (r - value)) / 4;
    }
  }
  const bytes = (plane: Float32Array): Uint8Array =>
    Uint8Array.from(plane, (v) => Math.min(Math.max(Math.round(v + 128), 0), 255));
  return { file: 'synthetic.jpg', width, height, luma, blueDifference: bytes(blue), redDifference: bytes(red) };
}

/** A band for `paint`: ragged edges round s = centre, over the rolls [from, to] (degrees) when given. */
export interface PaintedBand {
  centre: number;
  width: number;
  colour: Reflectance;
  ragged?: number;
  rolls?: readonly [number, number];
  opacity?: number;
  seed?: number;
}

/** Lays bands over a ground; rag is a smooth random change of each edge along the way round (mm). */
export function paintBands(
  ground: (s: number, roll: number) => Reflectance,
  bands: readonly PaintedBand[],
  radius: number,
): (s: number, roll: number) => Reflectance {
  const prepared = bands.map((band) => ({
    ...band,
    tip: wavering((band.seed ?? 1) * 31 + 1, 0.5),
    butt: wavering((band.seed ?? 1) * 31 + 2, 0.5),
  }));
  return (s, roll) => {
    let colour = ground(s, roll);
    for (const band of prepared) {
      if (Math.abs(s - band.centre) > band.width) continue;
      if (band.rolls !== undefined && (roll < band.rolls[0] || roll > band.rolls[1])) continue;
      const round = (roll * Math.PI * radius) / 180;
      const rag = band.ragged ?? 0;
      const from = band.centre - band.width / 2 + rag * band.tip(round);
      const to = band.centre + band.width / 2 + rag * band.butt(round);
      if (s < from || s > to) continue;
      const k = band.opacity ?? 1;
      colour = [0, 1, 2].map((i) => colour[i]! * (1 - k) + band.colour[i]! * k) as unknown as Reflectance;
    }
    return colour;
  };
}
