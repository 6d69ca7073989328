import { orderStatistic, sigmaByMedian } from '../numerics/robust.ts';
import type { Pixel } from '../geometry/vector.ts';
import { largestTagId, tagCells } from '../mat/tile.ts';
import {
  allWindows,
  detectTagQuads,
  smallWindows,
  type TagFamily,
  type TagQuad,
  type ThresholdWindows,
} from './opencv.ts';
import { type GreyImage, halve, sampleProfile } from './sampling.ts';
import { type Region, shortestSide, smallTagRegion } from './small_tags.ts';

/**
 * A tag read in one photo: corners of its black square in the tag's own order (top-left, top-right, bottom-right,
 * bottom-left).
 */
export interface Tag {
  id: number;
  corners: readonly [Pixel, Pixel, Pixel, Pixel];
  /** standard deviation of a corner coordinate from the scatter of its edges, pixels */
  sigma: number;
}

export interface TagReading {
  tags: Tag[];
  /** ids seen at two places of the same photo */
  twice: number[];
  /** ids of the family that belong to no mat and no seat card */
  foreign: number[];
}

/**
 * Finds every tag in an upright photo and refines its corners at full size: the four edges of the black square as
 * straight lines through sub-pixel edge points, intersected. OpenCV's pixel convention; tests/tags.test.ts locks the
 * bias.
 */
export async function readTags(image: GreyImage): Promise<TagReading> {
  const half = halve(image);
  const coarse = (await detectTagQuads(half.luma, half.width, half.height)).map(fromHalf);
  const region = smallTagRegion(coarse, image);
  const windows = coarse.length === 0 ? allWindows : smallWindows;
  const quads = region ? merge(coarse, await tagsInRegion(image, region, windows)) : coarse;
  const tags: Tag[] = [];
  const places = new Map<number, Pixel[]>();
  const foreign = new Set<number>();
  for (const quad of quads) {
    if (quad.id > largestTagId) {
      foreign.add(quad.id);
      continue;
    }
    const tag = refineTag(image, quad);
    if (!tag) continue;
    tags.push(tag);
    places.set(tag.id, [...(places.get(tag.id) ?? []), tag.corners[0]]);
  }
  const twice = [...places].filter(([, seen]) => seen.length > 1).map(([id]) => id);
  return { tags: tags.filter((tag) => !twice.includes(tag.id)), twice, foreign: [...foreign] };
}

const fromHalf = (quad: TagQuad): TagQuad => ({
  id: quad.id,
  corners: quad.corners.map(([x, y]) => [2 * x + 0.5, 2 * y + 0.5] as const) as unknown as TagQuad['corners'],
});

/** Tags of every size in a part of a photo, places counted in the whole of it. */
async function tagsInRegion(
  image: GreyImage,
  { left, top, right, bottom }: Region,
  windows: ThresholdWindows,
): Promise<TagQuad[]> {
  const width = right - left;
  const part = new Uint8Array(width * (bottom - top));
  for (let row = top; row < bottom; row++)
    part.set(image.luma.subarray(row * image.width + left, row * image.width + right), (row - top) * width);
  const quads = await detectTagQuads(part, width, bottom - top, 'tag36h11', windows);
  return quads.map(({ id, corners }) => ({
    id,
    corners: corners.map(([x, y]) => [x + left, y + top] as const) as unknown as TagQuad['corners'],
  }));
}

/** The coarse list with what only the fine search saw. */
function merge(coarse: TagQuad[], fine: TagQuad[]): TagQuad[] {
  const near = (a: TagQuad, b: TagQuad) =>
    Math.hypot(a.corners[0][0] - b.corners[0][0], a.corners[0][1] - b.corners[0][1]) < shortestSide(b) / 2;
  return [...fine, ...coarse.filter((c) => !fine.some((f) => f.id === c.id && near(f, c)))];
}

interface Line {
  point: Pixel;
  direction: Pixel;
  /** standard deviation of the line's place at its middle, pixels */
  sigma: number;
}

/** How a square's edge is read (held to the drawn tags of `tags.test.ts`). */
const edge = {
  /** places along it, from a share of its length on, over another: near the corners the next edge's blur rounds it */
  points: 32,
  from: 0.12,
  over: 0.76,
  /** looked for so far to both sides, in cells of the tag: in the first round, and once it is nearly there */
  reach: { first: 0.9, last: 0.7 },
  /** and in pixels at least */
  leastReach: 2,
  /** paper is lighter than the square by more than so many levels */
  contrast: 20,
  /** a straight line holds its points to this at best, pixels */
  leastScatter: 0.02,
  /** rounds of reweighting, and Tukey's constant (in standard deviations: 95 % as good as least squares) */
  rounds: 5,
  tukey: 4.685,
  /** edges that meet at less than this sine make no corner */
  leastTurn: 0.1,
} as const;

/** Refines a coarse quad; undefined when an edge cannot be made out (cut by the frame, covered, washed out). */
export function refineTag(image: GreyImage, quad: TagQuad): Tag | undefined {
  let corners: readonly Pixel[] = quad.corners;
  let sigma = 0;
  // The second round starts within a tenth of a pixel, so its normals and windows are right.
  for (let round = 0; round < 2; round++) {
    const lines: Line[] = [];
    for (let i = 0; i < 4; i++) {
      const line = fitEdge(image, corners[i]!, corners[(i + 1) & 3]!, round === 0 ? edge.reach.first : edge.reach.last);
      if (!line) return undefined;
      lines.push(line);
    }
    const next = [0, 1, 2, 3].map((i) => intersect(lines[(i + 3) & 3]!, lines[i]!));
    if (next.some((p) => p === undefined)) return undefined;
    corners = next as Pixel[];
    sigma = Math.sqrt(lines.reduce((sum, line) => sum + line.sigma * line.sigma, 0) / 4);
  }
  return { id: quad.id, corners: corners as unknown as Tag['corners'], sigma };
}

/** The straight edge from corner `a` to corner `b`, the tag's inside on the right-hand side of that way. */
function fitEdge(image: GreyImage, a: Pixel, b: Pixel, reachInCells: number): Line | undefined {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const along: Pixel = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
  // Corners run clockwise in the photo, so this normal points out of the black square.
  const outward: Pixel = [along[1], -along[0]];
  const reach = Math.max((reachInCells * length) / tagCells, edge.leastReach);
  const count = 2 * Math.ceil(2 * reach) + 1;
  const t: number[] = [];
  const d: number[] = [];
  for (let k = 0; k < edge.points; k++) {
    const f = edge.from + (edge.over * k) / (edge.points - 1);
    const place: Pixel = [a[0] + f * (b[0] - a[0]), a[1] + f * (b[1] - a[1])];
    const profile = sampleProfile(image, place, outward, reach, count);
    const crossing = darkToLight(profile);
    if (crossing === undefined) continue;
    t.push((f - 0.5) * length);
    d.push(-reach + (2 * reach * crossing) / (count - 1));
  }
  if (t.length < edge.points / 2) return undefined;
  const fit = robustLine(t, d);
  const middle: Pixel = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  return {
    point: [middle[0] + fit.offset * outward[0], middle[1] + fit.offset * outward[1]],
    direction: [along[0] + fit.slope * outward[0], along[1] + fit.slope * outward[1]],
    sigma: fit.scatter / Math.sqrt(t.length / 4),
  };
}

/** Where a dark-to-light profile passes half way between its two plateaus (index, sub-sample), or undefined. */
function darkToLight(profile: Float64Array): number | undefined {
  const n = profile.length;
  const quarter = Math.max(2, Math.floor(n / 4));
  let dark = 0;
  let light = 0;
  for (let k = 0; k < quarter; k++) {
    dark += profile[k]!;
    light += profile[n - 1 - k]!;
  }
  dark /= quarter;
  light /= quarter;
  if (!(light - dark > edge.contrast)) return undefined;
  const level = (dark + light) / 2;
  // The crossing nearest to the middle: texture further out does not count.
  let best: number | undefined;
  for (let k = 0; k < n - 1; k++) {
    const p = profile[k]!;
    const q = profile[k + 1]!;
    if (p <= level && q > level) {
      const place = k + (level - p) / (q - p);
      if (best === undefined || Math.abs(place - (n - 1) / 2) < Math.abs(best - (n - 1) / 2)) best = place;
    }
  }
  return best;
}

/** d = offset + slope t by iteratively reweighted least squares (Tukey's biweight); scatter = robust sigma about it. */
function robustLine(t: number[], d: number[]): { offset: number; slope: number; scatter: number } {
  let weights = t.map(() => 1);
  let offset = 0;
  let slope = 0;
  let scatter = 0;
  for (let round = 0; round < edge.rounds; round++) {
    let w = 0;
    let wt = 0;
    let wd = 0;
    let wtt = 0;
    let wtd = 0;
    for (let i = 0; i < t.length; i++) {
      const k = weights[i]!;
      w += k;
      wt += k * t[i]!;
      wd += k * d[i]!;
      wtt += k * t[i]! * t[i]!;
      wtd += k * t[i]! * d[i]!;
    }
    slope = (w * wtd - wt * wd) / (w * wtt - wt * wt);
    offset = (wd - slope * wt) / w;
    const residuals = t.map((x, i) => d[i]! - offset - slope * x);
    scatter = Math.max(sigmaByMedian * orderStatistic(residuals.map(Math.abs), 0.5)!, edge.leastScatter);
    weights = residuals.map((r) => {
      const z = r / (edge.tukey * scatter);
      return Math.abs(z) < 1 ? (1 - z * z) ** 2 : 0;
    });
  }
  return { offset, slope, scatter };
}

function intersect(p: Line, q: Line): Pixel | undefined {
  const det = p.direction[0] * q.direction[1] - p.direction[1] * q.direction[0];
  if (Math.abs(det) < edge.leastTurn * Math.hypot(...p.direction) * Math.hypot(...q.direction)) return undefined;
  const dx = q.point[0] - p.point[0];
  const dy = q.point[1] - p.point[1];
  const k = (dx * q.direction[1] - dy * q.direction[0]) / det;
  return [p.point[0] + k * p.direction[0], p.point[1] + k * p.direction[1]];
}

/**
 * What else could explain a photo without mat tags: mirrored, or tags of another family. Slow; only for the message.
 */
export async function explainNoTags(image: GreyImage): Promise<'mirrored' | 'other-family' | 'none'> {
  const half = halve(image);
  const mirrored = new Uint8Array(half.luma.length);
  for (let y = 0; y < half.height; y++)
    for (let x = 0; x < half.width; x++) mirrored[y * half.width + x] = half.luma[(y + 1) * half.width - 1 - x]!;
  if ((await detectTagQuads(mirrored, half.width, half.height)).length >= 2) return 'mirrored';
  const others: TagFamily[] = ['tag25h9', 'tag16h5', 'aruco4x4', 'aruco5x5', 'aruco6x6'];
  for (const family of others) {
    // Small families fire on clutter: a real sheet shows several.
    if ((await detectTagQuads(half.luma, half.width, half.height, family)).length >= 4) return 'other-family';
  }
  return 'none';
}
