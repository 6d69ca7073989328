import { type Camera, cameraCentre, undistort } from '../../src/geometry/camera.ts';
import { rotationMatrix } from '../../src/geometry/rotation.ts';
import {
  addScaled,
  dot,
  type Pixel,
  scale,
  subtract,
  transform,
  transpose,
  unit,
  type Vector3,
} from '../../src/geometry/vector.ts';
import { seatCard, tagCells, tagSide, tagsPerRow, tagsPerTile } from '../../src/mat/tile.ts';
import { isWhiteCell } from '../../src/mat/tag36h11.ts';
import type { Photo } from '../../src/photo/photo.ts';
import { seededNormal } from './seeded_random.ts';
import type { Paper } from './shop.ts';
import type { Light, Rod } from './world_rod.ts';
import type { World, WorldCamera } from './world.ts';
import { checkBars } from './check_bars.ts';

export interface RasterOptions {
  rod?: Rod;
  /** levels as light falls, or sRGB as a phone writes them */
  encoding?: 'linear' | 'srgb';
  /** standard deviation of the lens blur, pixels; acts on light */
  blur?: number;
  /** standard deviation of the noise, levels of 255 */
  noise?: number;
  /** direction to the lamp; its shadow is soft */
  lamp?: Vector3;
  /** pages as printed before, with check bars; true when absent */
  checkBars?: boolean;
  seed?: number;
}

const white = 0.72;
const black = 0.025;
const bench: Light = [0.3, 0.2, 0.12];
/** Sub-samples of a pixel that holds an edge: a Hammersley set, so no edge direction is favoured. */
const hammersley = (count: number) =>
  Array.from({ length: count }, (_, i): readonly [number, number] => {
    let bits = 0;
    for (let k = i, digit = 0.5; k > 0; k >>= 1, digit /= 2) bits += (k & 1) * digit;
    return [(i + 0.5) / count - 0.5, bits + 1 / (2 * count) - 0.5];
  });
const samples = hammersley(32);
/** On the rod every sample is a march along its ray, so fewer. */
const rodSamples = hammersley(8);

/** The paper's light at (u, v) of a page (nominal mm). */
function printedAt(tile: number, u: number, v: number, boxes: readonly Box[]): number {
  const row = Math.abs(Math.abs(v) - 72);
  if (row < tagSide / 2) {
    const column = Math.round(u / 50);
    const x = u - 50 * column + tagSide / 2;
    if (Math.abs(column) <= 2 && x >= 0 && x < tagSide) {
      const id = tagsPerTile * tile + (v > 0 ? 0 : tagsPerRow) + column + 2;
      const y = (v > 0 ? 72 : -72) + tagSide / 2 - v;
      const cell = tagSide / tagCells;
      return isWhiteCell(id, Math.floor(y / cell), Math.floor(x / cell)) ? white : black;
    }
  }
  for (const [u0, u1, v0, v1] of boxes) if (u > u0 && u < u1 && v > v0 && v < v1) return black;
  return white;
}

/** A printed line: u from and to, v from and to. */
type Box = readonly [number, number, number, number];

/** The check bars' lines as boxes. */
const barBoxes: readonly Box[] = [checkBars.along, checkBars.across].flatMap(({ lines }) =>
  lines.map(({ from, to, thickness }) => {
    const h = thickness / 2;
    const [hu, hv] = from[1] === to[1] ? [0, h] : [h, 0];
    return [
      Math.min(from[0], to[0]) - hu,
      Math.max(from[0], to[0]) + hu,
      Math.min(from[1], to[1]) - hv,
      Math.max(from[1], to[1]) + hv,
    ] as const;
  }),
);

/** The bench under a ray. */
interface Ground {
  /** the paper's grey, or -1 where the bare bench shows */
  shade(x: number, y: number): number;
  /** the paper's height, of the page looked at last where no page is */
  height(x: number, y: number): number;
}

function groundOf(world: World, checkBars: boolean): Ground {
  const pages = world.tiles.map(({ tile, x, y, yaw }) => ({ tile, x, y, c: Math.cos(yaw), s: Math.sin(yaw) }));
  const { along, across } = world.printScale;
  const boxes = checkBars ? barBoxes : [];
  const heights = new Map(pages.map(({ tile }) => [tile, world.paper && heightTable(world.paper, tile)]));
  let last = pages[0]!;
  let [u, v] = [0, 0];
  const isOn = (page: (typeof pages)[0], x: number, y: number): boolean => {
    const ownU = (page.c * (x - page.x) + page.s * (y - page.y)) / along;
    const ownV = (-page.s * (x - page.x) + page.c * (y - page.y)) / across;
    const within = Math.abs(ownU) <= 148.5 && Math.abs(ownV) <= 105;
    if (within) last = page;
    if (page === last) {
      u = ownU;
      v = ownV;
    }
    return within;
  };
  /** Finds the page, mostly that of the neighbouring pixel, and the place (u, v) on it. */
  const find = (x: number, y: number): boolean => {
    if (isOn(last, x, y)) return true;
    for (const page of pages) if (isOn(page, x, y)) return true;
    return false;
  };
  return {
    shade: (x, y) => (find(x, y) ? printedAt(last.tile, u, v, boxes) : -1),
    height(x, y) {
      find(x, y);
      return heights.get(last.tile)?.(u, v) ?? 0;
    },
  };
}

/** A page's heights between a table's rows, every `step` mm: straight between them, waves being far longer. */
function heightTable(paper: Paper, tile: number): (u: number, v: number) => number {
  const step = 4;
  const [columns, rows] = [77, 55];
  const table = Float64Array.from({ length: columns * rows }, (_, i) =>
    paper(tile, step * ((i % columns) - (columns - 1) / 2), step * (Math.floor(i / columns) - (rows - 1) / 2)),
  );
  return (u, v) => {
    const x = Math.min(Math.max(u / step + (columns - 1) / 2, 0), columns - 1.001);
    const y = Math.min(Math.max(v / step + (rows - 1) / 2, 0), rows - 1.001);
    const [i, j] = [Math.floor(x), Math.floor(y)];
    const [a, b] = [x - i, y - j];
    const k = j * columns + i;
    const top = table[k]! * (1 - a) + table[k + 1]! * a;
    return top * (1 - b) + (table[k + columns]! * (1 - a) + table[k + columns + 1]! * a) * b;
  };
}

const shadeLight = (shade: number): Light => (shade < 0 ? bench : [shade, shade, 0.97 * shade]);

/** The seat card where the ray meets it: how far along the ray, and its light. */
function cardHit(world: World, origin: Vector3, direction: Vector3): { t: number; light: Light } | undefined {
  if (!world.card) return undefined;
  const m = rotationMatrix(world.card.rotation);
  const normal: Vector3 = [m[2], m[5], m[8]];
  const t = dot(subtract(world.card.centre, origin), normal) / dot(direction, normal);
  const [u, v] = transform(transpose(m), subtract(addScaled(origin, direction, t), world.card.centre));
  if (Math.abs(u) > seatCard.width / 2 || Math.abs(v) > seatCard.height / 2) return undefined;
  const cell = seatCard.tagSide / tagCells;
  for (const [i, centre] of seatCard.centres.entries()) {
    const x = (u - centre[0] + seatCard.tagSide / 2) / cell;
    const y = (centre[1] + seatCard.tagSide / 2 - v) / cell;
    if (x >= 0 && y >= 0 && x < tagCells && y < tagCells) {
      const light = isWhiteCell(seatCard.ids[i]!, Math.floor(y), Math.floor(x)) ? white : black;
      return { t, light: [light, light, light] };
    }
  }
  return { t, light: [white, white, white] };
}

/** Draws one photo of the world: mat, card and rod by rays, edges area-sampled, lens blur, noise. */
export function renderPhoto(world: World, shot: WorldCamera, options: RasterOptions = {}): Photo {
  const { camera, width, height } = shot;
  const origin = cameraCentre(camera);
  const lamp = unit(options.lamp ?? [0.2, 0.5, 1]);
  const m = camera.matrix;
  const { rod } = options;
  const things = nearThings(world, rod, camera, width, height);
  const directions = rayGrid(shot);
  const ground = groundOf(world, options.checkBars ?? true);
  const sight = new Float64Array(3);
  const direction = new Float64Array(2);
  const aim = (x: number, y: number) => {
    directions(x, y, direction);
    const a = direction[0]!;
    const b = direction[1]!;
    sight[0] = m[0] * a + m[3] * b + m[6];
    sight[1] = m[1] * a + m[4] * b + m[7];
    sight[2] = m[2] * a + m[5] * b + m[8];
  };
  /** How far along the ray the paper lies: where it waves, met from its mean plane on. */
  const toPaper = (d: ArrayLike<number>): number => {
    let k = -origin[2] / d[2]!;
    if (world.paper)
      for (let i = 0; i < 2; i++) k = (ground.height(origin[0] + k * d[0]!, origin[1] + k * d[1]!) - origin[2]) / d[2]!;
    return k;
  };
  const shadeAt = (x: number, y: number): number => {
    aim(x, y);
    const k = toPaper(sight);
    return ground.shade(origin[0] + k * sight[0]!, origin[1] + k * sight[1]!);
  };
  const lightAt = (x: number, y: number): Light => {
    aim(x, y);
    const d = unit([sight[0]!, sight[1]!, sight[2]!]);
    const down = toPaper(d);
    const card = cardHit(world, origin, d);
    const stop = card && card.t < down ? card.t : down;
    const hit = rod?.trace(origin, d, stop);
    if (hit) return rod!.light(hit, d, lamp);
    if (card && stop === card.t) return card.light;
    const p = addScaled(origin, d, down);
    const light = shadeLight(ground.shade(p[0], p[1]));
    return rod ? scale(light, rod.shadow(p, lamp)) : light;
  };
  const planes = [0, 1, 2].map(() => new Float32Array(width * height)) as [Float32Array, Float32Array, Float32Array];
  const put = (i: number, light: Light) => {
    planes[0][i] = light[0];
    planes[1][i] = light[1];
    planes[2][i] = light[2];
  };
  const averaged = (x: number, y: number): Light => {
    let [r, g, b] = [0, 0, 0];
    for (const [dx, dy] of rodSamples) {
      const light = lightAt(x + dx, y + dy);
      r += light[0] / rodSamples.length;
      g += light[1] / rodSamples.length;
      b += light[2] / rodSamples.length;
    }
    return [r, g, b];
  };
  // Light at the pixels' corners: a pixel whose four corners agree holds no edge.
  let above = new Float64Array(width + 1);
  let below = new Float64Array(width + 1);
  // The colour at the last row of corners, for pixels without an edge near the rod.
  const lights: (Light | undefined)[] = Array.from({ length: width + 1 });
  const green = (x: number, y: number) => {
    if (!things(x, y)) return shadeAt(x, y);
    const light = lightAt(x, y);
    lights[Math.round(x + 0.5)] = light;
    return light[1];
  };
  for (let x = 0; x <= width; x++) above[x] = green(x - 0.5, -0.5);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x <= width; x++) below[x] = green(x - 0.5, y + 0.5);
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      const low = Math.min(above[x]!, above[x + 1]!, below[x]!, below[x + 1]!);
      const high = Math.max(above[x]!, above[x + 1]!, below[x]!, below[x + 1]!);
      const flat = high - low < (things(x, y) ? 0.03 : 0.01);
      if (things(x, y)) put(i, flat ? (lights[x] ?? lightAt(x, y)) : averaged(x, y));
      else if (flat || low < 0) put(i, shadeLight(low));
      else {
        let sum = 0;
        for (const [dx, dy] of samples) sum += shadeAt(x + dx, y + dy);
        put(i, shadeLight(sum / samples.length));
      }
    }
    [above, below] = [below, above];
  }
  return toPhoto(
    planes.map((p) => blurred(p, width, height, options.blur ?? 0.6)),
    shot,
    options,
  );
}

/**
 * Normalised directions over the photo, filled in place: exact on every eighth pixel, straight between (a thousandth of
 * a pixel off).
 */
function rayGrid({ camera, bend, width, height }: WorldCamera): (x: number, y: number, into: Float64Array) => void {
  const step = 8;
  const columns = Math.ceil(width / step) + 3;
  const rows = Math.ceil(height / step) + 3;
  const grid = new Float64Array(2 * columns * rows);
  /** The pixel that the lens would show without its bend, which changes little from pixel to pixel. */
  const unbent = (x: number, y: number): Pixel => {
    if (!bend) return [x, y];
    let [right, down] = bend(x, y);
    [right, down] = bend(x - right, y - down);
    return [x - right, y - down];
  };
  for (let j = 0; j < rows; j++)
    for (let i = 0; i < columns; i++)
      grid.set(undistort(camera.intrinsics, unbent((i - 1) * step, (j - 1) * step)), 2 * (j * columns + i));
  return (x, y, into) => {
    const fx = x / step + 1;
    const fy = y / step + 1;
    const i = Math.floor(fx);
    const j = Math.floor(fy);
    const a = fx - i;
    const b = fy - j;
    const at = 2 * (j * columns + i);
    const down = at + 2 * columns;
    for (let k = 0; k < 2; k++)
      into[k] =
        (grid[at + k]! * (1 - a) + grid[at + 2 + k]! * a) * (1 - b) +
        (grid[down + k]! * (1 - a) + grid[down + 2 + k]! * a) * b;
  };
}

/**
 * Whether a pixel may show the card, the rod or its shadow: told on a coarse map of where their surroundings project.
 */
function nearThings(
  world: World,
  rod: Rod | undefined,
  camera: Camera,
  width: number,
  height: number,
): (x: number, y: number) => boolean {
  const places = [...(rod?.surroundings() ?? []), ...(world.card ? [{ at: world.card.centre, reach: 36 }] : [])];
  if (places.length === 0) return () => false;
  const step = 8;
  const columns = Math.ceil(width / step) + 1;
  const map = new Uint8Array(columns * (Math.ceil(height / step) + 1));
  for (const { at, reach } of places) {
    const c = transform(camera.matrix, at);
    const z = c[2] + camera.pose.translation[2];
    if (z <= 1) continue;
    const { focal, centre } = camera.intrinsics;
    const px = focal * ((c[0] + camera.pose.translation[0]) / z) + centre[0];
    const py = focal * ((c[1] + camera.pose.translation[1]) / z) + centre[1];
    // Without the lens's distortion, so a margin takes it in.
    const r = (focal * reach) / z + 0.02 * Math.hypot(px - centre[0], py - centre[1]) + step;
    for (
      let j = Math.max(0, Math.floor((py - r) / step));
      j <= Math.min(map.length / columns - 1, (py + r) / step);
      j++
    )
      for (let i = Math.max(0, Math.floor((px - r) / step)); i <= Math.min(columns - 1, (px + r) / step); i++)
        map[j * columns + i] = 1;
  }
  return (x, y) => map[Math.floor(Math.max(y, 0) / step) * columns + Math.floor(Math.max(x, 0) / step)] === 1;
}

/**
 * A plane blurred along its rows, then along its columns; beyond the edges the last pixel goes on. Where all that a
 * pixel is blurred from is alike, which is most of a page, it stays as it is.
 */
function blurred(plane: Float32Array, width: number, height: number, sigma: number): Float32Array {
  if (sigma === 0) return plane;
  const reach = Math.ceil(3.5 * sigma);
  const kernel = Float64Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-0.5 * ((i - reach) / sigma) ** 2));
  const total = kernel.reduce((a, b) => a + b, 0);
  return blurredDown(blurredAcross(plane, { width, height, kernel, total }), { width, height, kernel, total });
}

interface Blur {
  width: number;
  height: number;
  /** weights, odd in number, and their sum */
  kernel: Float64Array;
  total: number;
}

function blurredAcross(plane: Float32Array, { width, height, kernel, total }: Blur): Float32Array {
  const taps = kernel.length;
  const reach = taps >> 1;
  const across = new Float32Array(plane.length);
  const row = new Float32Array(width + 2 * reach);
  for (let y = 0; y < height; y++) {
    const own = plane.subarray(y * width, (y + 1) * width);
    row.fill(own[0]!, 0, reach);
    row.set(own, reach);
    row.fill(own[width - 1]!, reach + width);
    let alike = 0;
    for (let i = 0; i < row.length; i++) {
      alike = i > 0 && row[i] === row[i - 1] ? alike + 1 : 1;
      const x = i - 2 * reach;
      if (x < 0) continue;
      let sum = 0;
      if (alike < taps) for (let k = 0; k < taps; k++) sum += kernel[k]! * row[x + k]!;
      across[y * width + x] = alike < taps ? sum / total : row[i]!;
    }
  }
  return across;
}

function blurredDown(plane: Float32Array, { width, height, kernel, total }: Blur): Float32Array {
  const taps = kernel.length;
  const reach = taps >> 1;
  const out = new Float32Array(plane.length);
  const alike = new Int32Array(width);
  const rowAt = (y: number) => Math.min(Math.max(y, 0), height - 1) * width;
  const rows = new Int32Array(taps);
  for (let y = -reach; y < height + reach; y++) {
    const [here, before, to] = [rowAt(y), rowAt(y - 1), (y - reach) * width];
    for (let x = 0; x < width; x++) alike[x] = plane[here + x] === plane[before + x] ? alike[x]! + 1 : 1;
    if (to < 0) continue;
    for (let k = 0; k < taps; k++) rows[k] = rowAt(y - 2 * reach + k);
    for (let x = 0; x < width; x++) {
      let sum = 0;
      if (alike[x]! < taps) for (let k = 0; k < taps; k++) sum += kernel[k]! * plane[rows[k]! + x]!;
      out[to + x] = alike[x]! < taps ? sum / total : plane[here + x]!;
    }
  }
  return out;
}

const srgb = (v: number): number => 255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055);

function toPhoto(
  planes: readonly Float32Array[],
  { width, height, camera }: WorldCamera,
  options: RasterOptions,
): Photo {
  const next = seededNormal(options.seed ?? 1);
  const noise = options.noise ?? 1.5;
  const level = options.encoding === 'linear' ? (v: number) => 255 * v : srgb;
  const halfWidth = (width + 1) >> 1;
  const halfHeight = (height + 1) >> 1;
  const luma = new Uint8Array(width * height);
  const blue = new Float32Array(halfWidth * halfHeight);
  const red = new Float32Array(halfWidth * halfHeight);
  const clamp = (v: number) => Math.min(Math.max(v, 0), 255);
  const [reds, greens, blues] = planes as [Float32Array, Float32Array, Float32Array];
  const code = Float64Array.from({ length: 4096 }, (_, i) => level(i / 4095));
  const coded = (v: number) => code[Math.min(Math.max(Math.round(4095 * v), 0), 4095)]!;
  for (let i = 0; i < luma.length; i++) {
    const y = Math.floor(i / width);
    const grain = noise * next();
    const r = clamp(coded(reds[i]!) + grain);
    const g = clamp(coded(greens[i]!) + grain);
    const b = clamp(coded(blues[i]!) + grain);
    const value = 0.299 * r + 0.587 * g + 0.114 * b;
    luma[i] = Math.round(clamp(value));
    const j = (y >> 1) * halfWidth + ((i - y * width) >> 1);
    blue[j]! += (0.564 * (b - value)) / 4;
    red[j]! += (0.713 * (r - value)) / 4;
  }
  const bytes = (plane: Float32Array): Uint8Array => {
    const levels = new Uint8Array(plane.length);
    for (let i = 0; i < plane.length; i++) levels[i] = clamp(Math.round(plane[i]! + 128));
    return levels;
  };
  return {
    file: 'made-up.jpg',
    width,
    height,
    luma,
    blueDifference: bytes(blue),
    redDifference: bytes(red),
    focalPrior: camera.intrinsics.focal * 1.006,
    cameraKey: 'made-up camera',
  };
}
