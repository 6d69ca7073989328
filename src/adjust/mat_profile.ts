import { heightCorrelationFactor } from '../mat/paper.ts';
import { tagPlace, tagsPerTile } from '../mat/tile.ts';
import { choleskyFactor, choleskySolve } from '../numerics/cholesky.ts';
import type { ResidualBlock } from '../numerics/residual_block.ts';
import type { MatReadings } from '../plan/shoot.ts';
import { jointPrior } from './joint_prior.ts';
import type { TilePlace, TileShape } from './mat_start.ts';
import { indices } from './parameters.ts';
import type { PhotoSign } from './photo_sign.ts';
import type { TileIndex } from './tag_block.ts';

/**
 * A taped mat as photos and the builder's readings told it once, kept for the shoots after: where its pages lie, how
 * their paper stands, the print's scale, with the covariance of all of it. Bench frame of the page held then.
 */
export interface MatProfile {
  /** as its owner calls it */
  name: string;
  /** when it was solved, ISO 8601 */
  madeAt?: string;
  photos: number;
  /** of the photos it was solved from: a check of those very photos must not count them twice */
  signs?: readonly PhotoSign[];
  /** what the builder measured on it: its scale rests on that */
  readings: MatReadings;
  /** how large its paper's waves are, mm */
  paper: number;
  tiles: readonly TileShape[];
  printScale: { along: number; across: number };
  /** of each page's x, y, yaw and ten heights, page by page, then the print's scale along and across; row by row */
  covariance: Float64Array;
}

/** Unknowns of a page: x, y, yaw, heights. */
export const perTile = 3 + tagsPerTile;

/**
 * What a taped mat may change from one day to the next, as standard deviations: paper takes up moisture and grows, all
 * of it alike; a page creeps under its tape; it settles in other waves where a rod was laid on it (common practice, no
 * source).
 */
const betweenDays = {
  /** relative */
  growth: 1.5e-4,
  /** mm */
  place: 0.05,
  /** radians: a twentieth of a millimetre over half a page */
  yaw: 4e-4,
  /** mm */
  heights: 0.15,
} as const;

/** What of a kept mat the bench's own gauge says: tilt and height of all pages, mm. */
const free = 1;

/** Values and covariance of some pages of a kept mat, in the frame in which one of them lies as given. */
export interface MatPart {
  tiles: readonly TileShape[];
  printScale: MatProfile['printScale'];
  /** as a profile's, of these pages; the page held has no doubt of its place */
  covariance: Float64Array;
}

/**
 * Some pages of a kept mat as they are now, given where one of them (`held`) lies: places turned and shifted with it,
 * heights counted from these pages' mean plane, and what the days between may have changed added to the doubt. First
 * order (S-transformation of a datum: Baarda 1973, from memory).
 */
export function partOfMat(profile: MatProfile, wanted: readonly number[], held: TilePlace): MatPart {
  const kept = profile.tiles.filter(({ tile }) => wanted.includes(tile));
  const anchor = kept.find(({ tile }) => tile === held.tile)!;
  const turn = held.yaw - anchor.yaw;
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  const placed = kept.map((tile): TileShape => {
    const [dx, dy] = [tile.x - anchor.x, tile.y - anchor.y];
    return { ...tile, x: held.x + c * dx - s * dy, y: held.y + s * dx + c * dy, yaw: tile.yaw + turn };
  });
  const level = withoutPlane(placed);
  const n = perTile * kept.length + 2;
  const all = perTile * profile.tiles.length + 2;
  const jacobian = new Float64Array(n * all);
  const from = (tile: number) => perTile * profile.tiles.findIndex((own) => own.tile === tile);
  const at = from(anchor.tile);
  kept.forEach(({ tile, x, y }, k) => {
    const [row, own] = [perTile * k, from(tile)];
    const set = (i: number, j: number, value: number) => {
      jacobian[(row + i) * all + j]! += value;
    };
    for (const [i, by] of [
      [0, [c, -s]],
      [1, [s, c]],
    ] as const)
      for (const [j, value] of by.entries()) {
        set(i, own + j, value);
        set(i, at + j, -value);
      }
    const [dx, dy] = [x - anchor.x, y - anchor.y];
    set(0, at + 2, s * dx + c * dy);
    set(1, at + 2, -c * dx + s * dy);
    set(2, own + 2, 1);
    set(2, at + 2, -1);
  });
  const heights = kept.flatMap(({ tile }) => indices(from(tile) + 3, tagsPerTile));
  for (let i = 0; i < heights.length; i++)
    for (let j = 0; j < heights.length; j++)
      jacobian[heightRow(i) * all + heights[j]!] = level.project[i * heights.length + j]!;
  for (const k of [0, 1]) jacobian[(n - 2 + k) * all + all - 2 + k] = 1;
  const covariance = carried(jacobian, profile.covariance, n, all);
  addDays(covariance, placed, held, level.project);
  return { tiles: level.tiles, printScale: profile.printScale, covariance };
}

const heightRow = (i: number): number => perTile * Math.floor(i / tagsPerTile) + 3 + (i % tagsPerTile);

/** Heights from the mean plane of all tags, and the matrix that makes them so. */
function withoutPlane(tiles: readonly TileShape[]): { tiles: TileShape[]; project: Float64Array } {
  const points = tiles.flatMap(({ x, y, yaw }) =>
    Array.from({ length: tagsPerTile }, (_, i) => {
      const [u, v] = tagPlace(i)!.centre;
      return [1, (x + Math.cos(yaw) * u - Math.sin(yaw) * v) / 100, (y + Math.sin(yaw) * u + Math.cos(yaw) * v) / 100];
    }),
  );
  const size = points.length;
  const normal = new Float64Array(9);
  for (const p of points) for (let i = 0; i < 9; i++) normal[i]! += p[Math.floor(i / 3)]! * p[i % 3]!;
  const factor = choleskyFactor(normal, 3)!;
  const project = new Float64Array(size * size);
  for (let i = 0; i < size; i++) {
    const row = choleskySolve(factor, 3, Float64Array.from(points[i]!));
    for (let j = 0; j < size; j++)
      project[i * size + j] = (i === j ? 1 : 0) - row.reduce((sum, r, k) => sum + r * points[j]![k]!, 0);
  }
  const heights = tiles.flatMap((tile) => tile.heights);
  const level = heights.map((_, i) => heights.reduce((sum, h, j) => sum + project[i * size + j]! * h, 0));
  return {
    tiles: tiles.map((tile, k) => ({ ...tile, heights: level.slice(k * tagsPerTile, (k + 1) * tagsPerTile) })),
    project,
  };
}

/** J C J'; n rows of J, `all` columns. */
function carried(jacobian: Float64Array, covariance: Float64Array, n: number, all: number): Float64Array {
  const half = new Float64Array(n * all);
  for (let i = 0; i < n; i++)
    for (let k = 0; k < all; k++) {
      const by = jacobian[i * all + k]!;
      if (by === 0) continue;
      for (let j = 0; j < all; j++) half[i * all + j]! += by * covariance[k * all + j]!;
    }
  const out = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++)
      for (let k = 0; k < all; k++) out[i * n + j]! += half[i * all + k]! * jacobian[j * all + k]!;
  return out;
}

/** Adds what the days between may have changed, and leaves the mean plane to the bench's own gauge. */
function addDays(covariance: Float64Array, tiles: readonly TileShape[], held: TilePlace, project: Float64Array): void {
  const n = perTile * tiles.length + 2;
  const grown = new Float64Array(n);
  grown.fill(1, n - 2);
  tiles.forEach(({ tile, x, y }, k) => {
    const row = perTile * k;
    grown.set([x - held.x, y - held.y], row);
    const twice = tile === held.tile ? 0 : 2;
    for (const i of [0, 1]) covariance[(row + i) * (n + 1)]! += twice * betweenDays.place ** 2;
    covariance[(row + 2) * (n + 1)]! += twice * betweenDays.yaw ** 2;
    for (let i = 0; i < tagsPerTile; i++)
      for (let j = 0; j < tagsPerTile; j++) {
        let alike = 0;
        for (let m = 0; m <= Math.min(i, j); m++)
          alike += heightCorrelationFactor[i * tagsPerTile + m]! * heightCorrelationFactor[j * tagsPerTile + m]!;
        covariance[(row + 3 + i) * n + row + 3 + j]! += betweenDays.heights ** 2 * alike;
      }
  });
  const size = tagsPerTile * tiles.length;
  for (let i = 0; i < size; i++)
    for (let j = 0; j < size; j++)
      covariance[heightRow(i) * n + heightRow(j)]! += free ** 2 * ((i === j ? 1 : 0) - project[i * size + j]!);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) covariance[i * n + j]! += betweenDays.growth ** 2 * grown[i]! * grown[j]!;
  // Along and across grow alike but for a little: the grain of the paper.
  for (const i of [n - 2, n - 1]) covariance[i * (n + 1)]! += (betweenDays.growth / 3) ** 2;
}

/**
 * What is known of pages by a kept mat, as an observation of their unknowns; the page held takes part by its heights.
 */
export function matPrior(
  { tiles, printScale, covariance }: MatPart,
  held: number,
  where: ReadonlyMap<number, TileIndex>,
  scaleAt: number,
): ResidualBlock | undefined {
  const n = perTile * tiles.length + 2;
  const unknowns = tiles.flatMap(({ tile, x, y, yaw, heights }) => {
    const at = where.get(tile)!;
    const mean = [x, y, yaw, ...heights];
    const places = [...indices(at.place, 3), ...indices(at.heights, tagsPerTile)];
    return mean.map((value, i) => ({ value, at: places[i]!, held: tile === held && i < 3 }));
  });
  const all = [
    ...unknowns,
    { value: printScale.along, at: scaleAt, held: false },
    { value: printScale.across, at: scaleAt + 1, held: false },
  ];
  const open = all.flatMap((unknown, i) => (unknown.held ? [] : [i]));
  const own = new Float64Array(open.length ** 2);
  for (const [i, a] of open.entries())
    for (const [j, b] of open.entries()) own[i * open.length + j] = covariance[a * n + b]!;
  return jointPrior(
    open.map((i) => all[i]!.at),
    open.map((i) => all[i]!.value),
    own,
  );
}

/** How much a print may have grown since it was kept, relative. */
export const printGrowth = betweenDays.growth;

/** The covariance of a part of a mat as it is where its print's scale is known: what both share cancels. */
export function besideItsScale({ tiles, covariance }: MatPart): Float64Array {
  const n = perTile * tiles.length + 2;
  const [a, b, c] = [covariance[(n - 2) * (n + 1)]!, covariance[(n - 2) * n + n - 1]!, covariance[n * n - 1]!];
  const determinant = a * c - b * b;
  if (!(determinant > 0)) return covariance;
  return covariance.map((value, k) => {
    const [i, j] = [Math.floor(k / n), k % n];
    const [p, q] = [covariance[i * n + n - 2]!, covariance[i * n + n - 1]!];
    const [r, s] = [covariance[j * n + n - 2]!, covariance[j * n + n - 1]!];
    return value - (p * (c * r - b * s) + q * (a * s - b * r)) / determinant;
  });
}
