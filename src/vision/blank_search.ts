import { type Camera, cameraCentre } from '../geometry/camera.ts';
import { dot } from '../geometry/vector.ts';
import { quantile } from '../numerics/robust.ts';
import type { Blank } from '../plan/plan.ts';
import { worthBySight } from './blank_share.ts';
import { behindOnPaper, isOnPages, type Lane, lanePoint } from './lane.ts';
import { type LaneEdges, laneSpacing, type LaneStation } from './lane_edges.ts';
import { edgeWorth, worthByColour } from './edge_worth.ts';
import { smoothWays } from './smooth_ways.ts';
import type { Colour } from './strip_relief.ts';
import type { PhotoIndex, PerPhoto } from '../photo/photo.ts';

/**
 * One crossing of what may be the blank in one photo: where its two outlines lie at the axis's height, mm in the lane.
 */
export interface Crossing {
  t: number;
  low: number;
  high: number;
}

/** A way along the lane that may be the blank's. */
export interface BlankPath {
  /** place across the lane by the lane's coordinate, mm */
  side: (t: number) => number;
  /** per photo: the crossings on this way that fit the blank's width, by t */
  crossings: Crossing[][];
  /** sum over stations of how well two edges fit there */
  support: number;
  /** one that was taken for this one has a kink */
  freed?: boolean;
}

/** What is known of the blank before it is found, by the lane's coordinate (mm). */
export interface Expected {
  width: (t: number) => number;
  /** share of the width and mm beside it that it may differ by (one standard deviation) */
  latitude: { share: number; extra: number };
  /** of the axis over the paper */
  height: (t: number) => number;
  finish: Blank['finish'];
}

const search = {
  /** grid across the lane, and how far the ways reach to both sides, mm */
  grid: 0.5,
  reach: 52,
  /** a pair speaks for places this near its middle, mm */
  blur: 1,
  /** a blank differs from paper by this much at least, levels of luma and colour together, each of colour so many */
  leastContrast: 9,
  colourCounts: 1.5,
  /** pairs farther than so many standard deviations from the width expected are left out */
  farthest: 3,
  /** what a way pays for a step of one grid cell from station to station, squared: rods lie nearly straight */
  bend: 0.25,
  /** steps of at most so many cells: rods lie along the lane */
  steps: 3,
  /** a second way lies this many widths, and mm, off the first */
  apartWidths: 0.35,
  apartExtra: 0.6,
  /** a way has this much support at least, a second one this share of the first's */
  leastSupport: 4,
  secondShare: 0.3,
  most: 4,
  /** beyond the outer pages what is darker than this share of them is the bench */
  bench: 0.8,
  /** a crossing lies on a way within this, mm, and is worth this share of what is usual on it, a quantile */
  near: 1.5,
  usualShare: 0.3,
  usual: 0.7,
  /** a way's steps are evened out over so many stations to both sides */
  evenedOver: 5,
} as const;

const difference = (a: Colour, b: Colour): number =>
  Math.abs(a[0] - b[0]) + search.colourCounts * (Math.abs(a[1] - b[1]) + Math.abs(a[2] - b[2]));

interface Pair extends Crossing {
  photo: PhotoIndex;
  cell: number;
  middle: number;
  worth: number;
}

/** Turns places on the walk's plane into places at the axis's height, as the camera sees them on one line of sight. */
export function atHeight(camera: Camera, lane: Lane, walked: number, height: number): { v: (v: number) => number } {
  const centre = cameraCentre(camera);
  const [dx, dy] = lane.direction;
  const own = dot([centre[0] - lane.origin[0], centre[1] - lane.origin[1], 0], [-dy, dx, 0]);
  const share = (centre[2] - height) / (centre[2] - walked);
  return { v: (v) => own + (v - own) * share };
}

function pairsAt(
  station: LaneStation,
  photo: PhotoIndex,
  at: { v: (v: number) => number },
  expected: Expected,
  from: number,
): Pair[] {
  const { edges, paper, mostColour, t } = station;
  const width = expected.width(t);
  const latitude = expected.latitude.share * width + expected.latitude.extra;
  const pairs: Pair[] = [];
  for (let i = 0; i < edges.length; i++) {
    const first = edges[i]!;
    if (difference(first.above, paper) < search.leastContrast) continue;
    const low = at.v(first.v);
    for (let j = i + 1; j < edges.length; j++) {
      const second = edges[j]!;
      const high = at.v(second.v);
      const miss = (high - low - width) / latitude;
      if (miss > search.farthest) break;
      if (miss < -search.farthest || difference(second.below, paper) < search.leastContrast) continue;
      const even = first.slope <= 0 && second.slope >= 0;
      if (!even && expected.finish === 'dark') continue;
      const fits =
        Math.exp(-0.5 * miss * miss) *
        worthBySight(station, first.d, second.d) *
        worthByColour(first.above, second.below, paper, mostColour);
      const worth = fits * edgeWorth(first, second, paper, expected.finish);
      const cell = Math.round((t - from) / laneSpacing);
      pairs.push({ photo, cell, t, low, high, middle: (low + high) / 2, worth });
    }
  }
  return pairs;
}

/**
 * Ways along the lane that may be the blank's, best first. At each station of each photo two edges about the blank's
 * width apart speak for a place across the lane, at the height where the blank is expected: what stands there lies at
 * the same place in all photos, what lies on the paper does not. The best way is found by dynamic programming (Bellman
 * 1957), the next with what lies on the first taken out: a blank, its shadow and the two together are ways of their
 * own. Each is looked for when it is asked for.
 */
export function* searchBlank(
  photos: PerPhoto<LaneEdges | undefined>,
  cameras: PerPhoto<Camera | undefined>,
  lane: Lane,
  expected: Expected,
): Generator<BlankPath, void> {
  let pairs = photos.flatMap((edges, photo) => {
    const camera = cameras[photo];
    if (!edges || !camera) return [];
    const own: Pair[] = [];
    const light: { t: number; behind: number; luma: number }[] = [];
    const eye = cameraCentre(camera);
    for (const station of edges.stations) {
      const at = atHeight(camera, lane, edges.height, expected.height(station.t));
      own.push(...pairsAt(station, photo, at, expected, lane.from));
      light.push({
        t: station.t,
        behind: behindOnPaper(lane, eye, lanePoint(lane, station.t, 0, edges.height)).t,
        luma: station.paper[0],
      });
    }
    const bench = benchOf(light, lane);
    return own.filter(({ t }) => !bench.has(t));
  });
  const cells = Math.round((lane.to - lane.from) / laneSpacing) + 1;
  let strongest = 0;
  const kinkless: BlankPath[] = [];
  for (let count = 0; count < search.most; count++) {
    const way = bestWay(pairs, cells);
    const found = pathOn(pairs, photos.length, (t) => {
      const place = Math.min(Math.max((t - lane.from) / laneSpacing, 0), cells - 1.001);
      const i = Math.floor(place);
      return way[i]! + (place - i) * (way[i + 1]! - way[i]!);
    });
    const enough = ({ support }: BlankPath) =>
      support >= search.leastSupport && support >= search.secondShare * strongest;
    if (!enough(found)) break;
    if (count === 0) strongest = found.support;
    yield found;
    const smooth = smoothWays(found.crossings.flat(), pairs).map((side) => ({
      ...pathOn(pairs, photos.length, side),
      freed: true,
    }));
    kinkless.push(...smooth.filter(enough));
    const taken = ({ middle, t }: Pair) =>
      Math.abs(middle - found.side(t)) < search.apartWidths * expected.width(t) + search.apartExtra;
    pairs = pairs.filter((pair) => !taken(pair));
  }
  yield* kinkless;
}

/**
 * The walks that cross the bench: where the lane may go on beyond the outer pages it is about as light as they are, or
 * none of theirs, and the grain of a bench has edges too. A blank on blocks has the bench behind it well before it
 * leaves the pages.
 */
function benchOf(walks: readonly { t: number; behind: number; luma: number }[], lane: Lane): Set<number> {
  const isInside = ({ behind }: { behind: number }) => isOnPages(lane, behind);
  const pages = walks.filter(isInside).map(({ luma }) => luma);
  const least = pages.length === 0 ? 0 : search.bench * quantile(pages, 0.5);
  return new Set(walks.filter((walk) => !isInside(walk) && walk.luma < least).map(({ t }) => t));
}

/** The way with the pairs that lie on it: those about as good as is usual there. */
function pathOn(
  pairs: readonly Pair[],
  photos: number,
  side: (t: number) => number,
): BlankPath & { crossings: Pair[][] } {
  const near = byPhoto(pairs, photos).map((own) => onWay(own, side));
  const usual = quantile(
    near.flatMap((own) => own.map(({ worth }) => worth)),
    search.usual,
  );
  const crossings = near.map((own) => own.filter(({ worth }) => worth > search.usualShare * usual));
  const support = crossings.reduce((sum, own) => sum + own.reduce((s, { worth }) => s + worth, 0), 0);
  return { side, crossings, support };
}

function byPhoto(pairs: readonly Pair[], photos: number): Pair[][] {
  const own = Array.from({ length: photos }, (): Pair[] => []);
  for (const pair of pairs) own[pair.photo]!.push(pair);
  return own;
}

/** The best pair of each station of a photo that lies on a way, by t. */
function onWay(pairs: readonly Pair[], side: (t: number) => number): Pair[] {
  const best = new Map<number, Pair>();
  for (const pair of pairs) {
    if (Math.abs(pair.middle - side(pair.t)) > search.near) continue;
    const other = best.get(pair.cell);
    if (!other || pair.worth > other.worth) best.set(pair.cell, pair);
  }
  return [...best.values()].sort((a, b) => a.t - b.t);
}

/**
 * What all photos speak for each place: cells by rows. Each photo speaks once a station, by the best of its pairs near
 * there.
 */
function worthOf(pairs: readonly Pair[], cells: number, rows: number): Float64Array {
  const worth = new Float64Array(cells * rows);
  const own = new Float64Array(rows);
  const reach = Math.ceil(search.blur / search.grid);
  for (let i = 0; i < pairs.length; ) {
    const { photo, cell } = pairs[i]!;
    own.fill(0);
    for (; i < pairs.length && pairs[i]!.photo === photo && pairs[i]!.cell === cell; i++) {
      const place = (pairs[i]!.middle + search.reach) / search.grid;
      for (let row = Math.max(0, Math.ceil(place - reach)); row <= Math.min(rows - 1, place + reach); row++)
        own[row] = Math.max(own[row]!, pairs[i]!.worth * (1 - Math.abs(row - place) / (reach + 1)));
    }
    for (let row = 0; row < rows; row++) worth[cell * rows + row]! += own[row]!;
  }
  return worth;
}

/** Place across the lane at each station of the way that most pairs lie on. */
function bestWay(pairs: readonly Pair[], cells: number): Float64Array {
  const rows = Math.round((2 * search.reach) / search.grid) + 1;
  const worth = worthOf(pairs, cells, rows);
  const from = new Int8Array(cells * rows);
  let before = worth.slice(0, rows);
  for (let cell = 1; cell < cells; cell++) {
    const here = new Float64Array(rows).fill(Number.NEGATIVE_INFINITY);
    for (let row = 0; row < rows; row++) {
      for (let step = -search.steps; step <= search.steps; step++) {
        const other = before[row - step];
        if (other === undefined) continue;
        const value = other - search.bend * step * step;
        if (value > here[row]!) {
          here[row] = value;
          from[cell * rows + row] = step;
        }
      }
      here[row]! += worth[cell * rows + row]!;
    }
    before = here;
  }
  const way = new Float64Array(cells);
  let row = before.indexOf(Math.max(...before));
  for (let cell = cells - 1; cell >= 0; cell--) {
    way[cell] = row * search.grid - search.reach;
    row -= from[cell * rows + row]!;
  }
  return smoothed(way);
}

/** The grid's steps evened out over a few stations. */
function smoothed(way: Float64Array): Float64Array {
  return way.map((_, i) => {
    const reach = Math.min(search.evenedOver, i, way.length - 1 - i);
    let sum = 0;
    for (let k = i - reach; k <= i + reach; k++) sum += way[k]!;
    return sum / (2 * reach + 1);
  });
}
