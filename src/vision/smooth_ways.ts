import { choleskyFactor, choleskySolve } from '../numerics/cholesky.ts';

/** What speaks for a way along the lane at one place: where along and across it (mm), and how much. */
export interface WayPoint {
  t: number;
  middle: number;
  worth: number;
}

const smooth = {
  /**
   * a blank at rest bends about so much (second derivative, 1/mm; a sag of 4 mm in 1300), its bend changes slowly
   * (1/mm2), and what bends more than so is none
   */
  bend: 3e-5,
  bendChange: 1e-7,
  mostBend: 1e-4,
  /** standard deviation of a point of worth 1, mm */
  sigma: 0.5,
  /** points farther off than this from a way are not its own, mm */
  near: 1.5,
  /** a way is first seen in stretches of this length, half over each other, and grows from there by so much, mm */
  stretch: 260,
  growth: 60,
  /** points that tell a way at all */
  fewest: 8,
  /** rounds over the whole length at the end */
  settle: 3,
  /** a way has a kink where more than this share of what speaks for it lies so far off a smooth one, mm */
  off: 1,
  offShare: 0.1,
  /** two ways are one where they differ by less than this on the whole, mm */
  same: 0.7,
} as const;

type Way = (t: number) => number;

/**
 * Smooth ways along the lane among these points, where one that was found there has a kink: a blank lies nearly
 * straight, so a way that runs along its shadow here and along the blank there is two. `own` = the points of that way,
 * `all` = its and all others. Each is grown from a stretch of it, as far as points go on. Nothing where it has no kink.
 */
export function smoothWays(own: readonly WayPoint[], all: readonly WayPoint[]): Way[] {
  if (own.length < smooth.fewest) return [];
  const [from, to] = rangeOf(own);
  if (to - from < smooth.stretch || !hasKink(own, grown(own, [from, to], [from, to]))) return [];
  const ways: Way[] = [];
  const count = Math.ceil((2 * (to - from)) / smooth.stretch);
  for (let k = 0; k < count; k++) {
    const start = from + ((to - from - smooth.stretch) * k) / Math.max(count - 1, 1);
    const seed = own.filter(({ t }) => t >= start && t <= start + smooth.stretch);
    if (seed.length < smooth.fewest) continue;
    const way = grown(all, rangeOf(seed), [from, to], seed);
    if (
      way &&
      bendOf(way, [from, to]) < smooth.mostBend &&
      ways.every((other) => apart(way, other, [from, to]) > smooth.same)
    )
      ways.push(way);
  }
  return ways;
}

const rangeOf = (points: readonly WayPoint[]): [number, number] => [
  Math.min(...points.map(({ t }) => t)),
  Math.max(...points.map(({ t }) => t)),
];

function hasKink(own: readonly WayPoint[], way: Way | undefined): boolean {
  if (!way) return true;
  const all = own.reduce((sum, { worth }) => sum + worth, 0);
  const off = own.reduce((sum, p) => sum + (Math.abs(p.middle - way(p.t)) > smooth.off ? p.worth : 0), 0);
  return off > smooth.offShare * all;
}

/** The largest second derivative of a cubic, 1/mm: at one of its ends. */
const bendOf = (way: Way, [from, to]: readonly [number, number]): number =>
  Math.max(...[from, to].map((t) => Math.abs(way(t + 50) - 2 * way(t) + way(t - 50)) / 50 ** 2));

const apart = (a: Way, b: Way, [from, to]: readonly [number, number]): number => {
  const places = Array.from({ length: 12 }, (_, i) => from + ((to - from) * i) / 11);
  return places.reduce((sum, t) => sum + Math.abs(a(t) - b(t)), 0) / places.length;
};

/** The cubic nearest the points, grown from a stretch to a whole range; undefined where points do not tell one. */
function grown(
  all: readonly WayPoint[],
  stretch: readonly [number, number],
  whole: readonly [number, number],
  seed: readonly WayPoint[] = all,
): Way | undefined {
  const centre = (stretch[0] + stretch[1]) / 2;
  let way = cubic(seed, centre);
  let [from, to] = stretch;
  // Kept from round to round: a walk has thousands of points.
  const pull = new Float64Array(all.length);
  for (let left: number = smooth.settle; left > 0 && way; ) {
    from = Math.max(from - smooth.growth, whole[0]);
    to = Math.min(to + smooth.growth, whole[1]);
    if (from === whole[0] && to === whole[1]) left--;
    for (let i = 0; i < all.length; i++) {
      const { t, middle } = all[i]!;
      const off = t < from || t > to ? 1 : (middle - way(t)) / smooth.near;
      // Tukey's biweight: what lies off has no pull.
      pull[i] = Math.abs(off) < 1 ? (1 - off * off) ** 2 : 0;
    }
    way = cubic(all, centre, pull);
  }
  return way;
}

/**
 * The cubic about `centre` that fits points best, its bend and the bend's change held small; `pull` = what each counts
 * for besides its worth, 1 when absent.
 */
function cubic(points: readonly WayPoint[], centre: number, pull?: Float64Array): Way | undefined {
  const matrix = new Float64Array(16);
  const right = new Float64Array(4);
  const row = new Float64Array(4);
  for (let p = 0; p < points.length; p++) {
    const counts = pull ? pull[p]! : 1;
    if (counts === 0) continue;
    const { t, middle, worth } = points[p]!;
    const d = t - centre;
    row[0] = 1;
    row[1] = d;
    row[2] = (d * d) / 2;
    row[3] = (d * d * d) / 6;
    const weight = (worth * counts) / smooth.sigma ** 2;
    for (let i = 0; i < 4; i++) {
      right[i]! += weight * row[i]! * middle;
      for (let j = 0; j <= i; j++) matrix[4 * i + j]! += weight * row[i]! * row[j]!;
    }
  }
  matrix[10]! += 1 / smooth.bend ** 2;
  matrix[15]! += 1 / smooth.bendChange ** 2;
  const factor = choleskyFactor(matrix, 4);
  if (!factor) return undefined;
  const [a, b, c, e] = choleskySolve(factor, 4, right) as unknown as [number, number, number, number];
  return (t) => a + (t - centre) * (b + ((t - centre) * (c + ((t - centre) * e) / 3)) / 2);
}
