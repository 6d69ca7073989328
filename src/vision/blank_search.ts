import { type Camera, project } from '../geometry/camera.ts';
import type { Vector3 } from '../geometry/vector.ts';
import { laneHalfWidth } from '../mat/tile.ts';
import type { Photo } from '../photo/photo.ts';

/**
 * The lane in which the blank is looked for: a straight line on the bench through the tiles' centres. A point is
 * origin + t * direction + v * side (+ z up); mm, bench frame.
 */
export interface Lane {
  origin: readonly [number, number];
  /** unit vector; side = direction turned a quarter counter-clockwise */
  direction: readonly [number, number];
  from: number;
  to: number;
}

export const lanePoint = (lane: Lane, t: number, v: number, z: number): Vector3 => [
  lane.origin[0] + t * lane.direction[0] - v * lane.direction[1],
  lane.origin[1] + t * lane.direction[1] + v * lane.direction[0],
  z,
];

/** One crossing of the blank in one photo: where its two outlines meet the plane at the assumed height, mm in the lane. */
export interface Crossing {
  t: number;
  low: number;
  high: number;
}

/** The blank as one photo shows it, on the plane z = height. */
export interface BlankSighting {
  crossings: Crossing[];
  /** stretch of the lane the photo shows, mm */
  from: number;
  to: number;
}

const stationSpacing = 4;
const sampleSpacing = 0.2;

interface Run {
  station: number;
  t: number;
  low: number;
  high: number;
}

/**
 * Looks for the blank in one photo: at stations along the lane, runs of samples that differ from the paper and are as wide
 * as the blank may be; then the straight line most stations agree on (Fischler and Bolles 1981). `widths` = least and
 * greatest diameter (mm) that counts.
 */
export function searchBlank(
  photo: Photo,
  camera: Camera,
  lane: Lane,
  height: number,
  widths: { least: number; greatest: number },
): BlankSighting | undefined {
  const runs: Run[] = [];
  let from = Number.POSITIVE_INFINITY;
  let to = Number.NEGATIVE_INFINITY;
  let station = 0;
  for (let t = lane.from; t <= lane.to; t += stationSpacing, station++) {
    const profile = crossProfile(photo, camera, lane, t, height);
    if (!profile) continue;
    from = Math.min(from, t);
    to = Math.max(to, t);
    for (const run of darkRuns(profile.difference, widths)) {
      runs.push({
        station,
        t,
        low: profile.from + run.start * sampleSpacing,
        high: profile.from + run.end * sampleSpacing,
      });
    }
  }
  const line = commonLine(runs);
  if (!line) return undefined;
  const byStation = new Map<number, Crossing>();
  for (const { station: at, t, low, high } of alongBow(runs, line)) byStation.set(at, { t, low, high });
  return { crossings: [...byStation.values()], from, to };
}

/** Difference from paper (grey levels, luma and colour together) across the lane, or undefined when out of the photo. */
function crossProfile(
  photo: Photo,
  camera: Camera,
  lane: Lane,
  t: number,
  z: number,
): { from: number; difference: Float64Array } | undefined {
  const reach = laneHalfWidth - 8;
  const count = Math.round((2 * reach) / sampleSpacing) + 1;
  const a = project(camera, lanePoint(lane, t, -reach, z));
  const b = project(camera, lanePoint(lane, t, reach, z));
  const m = project(camera, lanePoint(lane, t, 0, z));
  const inside = (p: readonly [number, number] | undefined) =>
    p !== undefined && p[0] >= 2 && p[1] >= 2 && p[0] < photo.width - 3 && p[1] < photo.height - 3;
  if (!a || !b || !inside(m)) return undefined;
  const y = new Float64Array(count);
  const cb = new Float64Array(count);
  const cr = new Float64Array(count);
  const half = (photo.width + 1) >> 1;
  for (let i = 0; i < count; i++) {
    // The lane is narrow: along its width the projection is a straight line but for a small fraction of a pixel.
    const f = i / (count - 1);
    const px = Math.round(a[0] + f * (b[0] - a[0]));
    const py = Math.round(a[1] + f * (b[1] - a[1]));
    if (px < 0 || py < 0 || px >= photo.width || py >= photo.height) {
      y[i] = Number.NaN;
      continue;
    }
    y[i] = photo.luma[py * photo.width + px]!;
    const k = (py >> 1) * half + (px >> 1);
    cb[i] = photo.blueDifference[k]!;
    cr[i] = photo.redDifference[k]!;
  }
  const paper = upperMedian(y);
  if (!Number.isFinite(paper)) return undefined;
  const blue = median(cb);
  const red = median(cr);
  const difference = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    difference[i] = Number.isNaN(y[i]!)
      ? Number.NaN
      : Math.abs(y[i]! - paper) + 1.5 * (Math.abs(cb[i]! - blue) + Math.abs(cr[i]! - red));
  }
  return { from: -reach, difference };
}

const median = (values: Float64Array): number => {
  const sorted = Float64Array.from(values).sort();
  return sorted[sorted.length >> 1]!;
};

/** The brighter half's median: paper, though half the lane may lie in shadow. */
const upperMedian = (values: Float64Array): number => {
  const sorted = values.filter((v) => !Number.isNaN(v)).sort();
  return sorted.length < values.length / 2 ? Number.NaN : sorted[Math.floor(sorted.length * 0.7)]!;
};

/** A blank stands out from the paper by more than this share of the strongest difference; most shadows by less. */
const standsOut = 0.65;
/** A lengthwise highlight may lighten this much of the blank's width without parting it in two. */
const highlightShare = 0.5;

/** Runs of samples that stand out, highlights bridged, as wide as asked (in samples, start and end). */
function darkRuns(
  difference: Float64Array,
  widths: { least: number; greatest: number },
): { start: number; end: number }[] {
  const strongest = [...difference].filter((d) => !Number.isNaN(d)).sort((a, b) => b - a)[3] ?? 0;
  if (strongest < 30) return [];
  const pieces: { start: number; end: number }[] = [];
  let start = -1;
  for (let i = 0; i <= difference.length; i++) {
    const on = i < difference.length && difference[i]! > standsOut * strongest;
    if (on && start < 0) start = i;
    if (!on && start >= 0) {
      const last = pieces.at(-1);
      // Bridged only where what lies between still differs from paper: a highlight on the blank, not paper itself.
      const gap = last && difference.slice(last.end, start);
      if (last && gap && gap.every((d) => d > 0.15 * strongest) && gap.length < highlightShare * (i - last.start))
        last.end = i;
      else pieces.push({ start, end: i });
      start = -1;
    }
  }
  return pieces.filter(({ start: a, end: b }) => {
    const width = (b - a) * sampleSpacing;
    return a > 0 && b < difference.length && width >= widths.least && width <= widths.greatest;
  });
}

const middleOf = (run: Run) => (run.low + run.high) / 2;

/** How far a run may lie off the line and still be the blank, mm: this takes in its bow over half a metre. */
const tolerance = 2;

/** Over its whole length a blank bows by more: the line that most stations agree on is followed on along the blank. */
function alongBow(runs: readonly Run[], line: (t: number) => number): readonly Run[] {
  const reach = 150;
  let found = runs.filter((run) => Math.abs(middleOf(run) - line(run.t)) < tolerance);
  for (let round = 0; round < 12; round++) {
    const near = runs.filter((run) => {
      const at = lineThrough(
        found.filter((other) => Math.abs(other.t - run.t) < reach),
        run.t,
      );
      return at !== undefined && Math.abs(middleOf(run) - at) < tolerance;
    });
    if (near.length <= found.length) break;
    found = near;
  }
  return found;
}

/** The straight line of least squares through the runs' middles, at `t`; undefined where they are too few to tell. */
function lineThrough(runs: readonly Run[], t: number): number | undefined {
  if (runs.length < 8) return undefined;
  const mean = runs.reduce((sum, run) => sum + run.t, 0) / runs.length;
  const side = runs.reduce((sum, run) => sum + middleOf(run), 0) / runs.length;
  const spread = runs.reduce((sum, run) => sum + (run.t - mean) ** 2, 0);
  const slope = runs.reduce((sum, run) => sum + (run.t - mean) * (middleOf(run) - side), 0) / Math.max(spread, 1);
  return side + slope * (t - mean);
}

function commonLine(runs: readonly Run[]): ((t: number) => number) | undefined {
  if (runs.length < 8) return undefined;
  const middle = (runs[0]!.t + runs[runs.length - 1]!.t) / 2;
  let best: { offset: number; slope: number; stations: number } | undefined;
  // Every pair from an even thinning of the runs, instead of random draws: the same photo gives the same answer.
  const stride = Math.max(1, Math.floor(runs.length / 70));
  for (let i = 0; i < runs.length; i += stride) {
    for (let j = i + stride; j < runs.length; j += stride) {
      const a = runs[i]!;
      const b = runs[j]!;
      if (b.t - a.t < 40) continue;
      const va = (a.low + a.high) / 2;
      const slope = ((b.low + b.high) / 2 - va) / (b.t - a.t);
      if (Math.abs(slope) > 0.25) continue;
      const stations = new Set<number>();
      for (const run of runs) {
        const v = va + slope * (run.t - a.t);
        if (Math.abs((run.low + run.high) / 2 - v) < tolerance) stations.add(run.station);
      }
      if (!best || stations.size > best.stations)
        best = { offset: va + slope * (middle - a.t), slope, stations: stations.size };
    }
  }
  if (!best || best.stations < 8) return undefined;
  const { offset, slope } = best;
  return (t) => offset + slope * (t - middle);
}
