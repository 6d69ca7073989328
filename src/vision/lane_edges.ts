import { type Camera, project } from '../geometry/camera.ts';
import type { Pixel } from '../geometry/vector.ts';
import { border, isInPhoto } from '../geometry/in_photo.ts';
import { laneHalfWidth } from '../mat/tile.ts';
import { orderStatistic } from '../numerics/robust.ts';
import { heldOf, type Photo } from '../photo/photo.ts';
import { edgesAcross, noiseNear, slopeOfNoise } from './edge_profile.ts';
import { type Lane, lanePoint } from './lane.ts';
import { addColourAlongLine, colourPlanes, halfSizeLine, samplePhoto } from './sampling.ts';
import type { Colour } from './strip_relief.ts';

/** An edge met on a walk across the lane. */
export interface LaneEdge {
  /** place across the lane on the plane that was walked, mm */
  v: number;
  /** pixels along the walk from its middle */
  d: number;
  /** grey levels a pixel, positive where it gets lighter toward larger v; 0 where colour alone changes */
  slope: number;
  /** luma, Cb, Cr beside the edge, toward smaller and toward larger v */
  below: Colour;
  above: Colour;
}

/** One walk across the lane in one photo. */
export interface LaneStation {
  /** the lane's coordinate, mm */
  t: number;
  /** where the walk meets the lane's line, and the photo's direction of growing v, unit */
  middle: Pixel;
  across: Pixel;
  pixelsPerMm: number;
  /** Cb and Cr at every whole pixel of the walk, from `first` on; NaN outside the photo */
  chroma: { first: number; blue: Float32Array; red: Float32Array };
  /** luma, Cb, Cr of the paper here: the brighter part's medians */
  paper: Colour;
  /** the strongest colour on the walk, levels of Cb and Cr from the paper's */
  mostColour: number;
  edges: LaneEdge[];
  /** what the finder takes for the blank along the walk, where it was asked */
  blank?: BlankShare;
}

/**
 * How much the finder takes for the blank, at every whole pixel of a walk across the lane from `first` on: 1 the blank,
 * 0 its shadow, 0.5 where it cannot say.
 */
export interface BlankShare {
  first: number;
  share: Float32Array;
  /** where it lies, as the finder has it: stretches of blank across the plane that was walked, mm */
  runs: BlankRun[];
}

export interface BlankRun {
  middle: number;
  breadth: number;
}

/** All edges that one photo shows across the lane, on the plane z = `height` (mm over the paper). */
export interface LaneEdges {
  height: number;
  /** by t, growing */
  stations: Iterable<LaneStation>;
}

/** What the walk across the lane may be told. */
const walk = {
  /** mm between walks: the blank bows slowly, a point less often than this would tie tape and marks together */
  spacing: 4,
  /** mm to leave at the lane's edges, where the tags' rows begin */
  margin: 8,
  /** pixels along the lane that one walk averages */
  breadth: 9,
  /** least slope of an edge, grey levels a pixel: what JPEG leaves in clean paper is less */
  leastSlope: 2.2,
  /** pixels from an edge where the colours beside it are taken: beyond its blur */
  beside: 2.5,
  /** pixels to the photo's border */
  border: 8,
  /** pixels within which a change of colour belongs to an edge of luma */
  apart: 2,
  /** least step of colour (Cb and Cr together) that is an edge where luma shows none */
  leastColour: 9,
  /** pixels to both sides over which that step is taken */
  colourReach: 3,
  /** colour beside an edge and along the walk: mean of places so many pixels apart along the lane, this far out */
  apartAlong: 2,
  besideReach: 2,
  chromaReach: 4,
  /** noise is told within so many pixels of the first walk's middle */
  noiseWithin: 60,
  /** pixels that the strongest colour is averaged over: a speck is none */
  strongBreadth: 5,
  /** the paper: medians over these quantiles of so many steps' luma: below lies what stands on it, above what shines */
  paper: { steps: 60, from: 0.55, to: 0.9 },
} as const;

/** Where a photo shows nothing: black without colour. */
const unseen: Colour = [0, 128, 128];

/** mm of lane between walks. */
export const laneSpacing = walk.spacing;

/** Walks across the whole lane every few mm and notes every edge. */
export function laneEdges(photo: Photo, camera: Camera, lane: Lane, height: number): LaneEdges {
  const stations: LaneStation[] = [];
  let noise: number | undefined;
  for (let t = lane.from; t <= lane.to; t += walk.spacing) {
    const reach = laneHalfWidth - walk.margin;
    const ends = [-reach, 0, reach].map((v) => project(camera, lanePoint(lane, t, v, height)));
    const [low, middle, high] = ends;
    if (!low || !middle || !high || !isInPhoto(photo, middle, clear)) continue;
    noise ??= noiseNear(photo, middle, walk.noiseWithin);
    stations.push(walkAcross(photo, { t, reach, low, middle, high }, noise));
  }
  return { height, stations };
}

const clear = border(walk.border);

interface Chord {
  t: number;
  reach: number;
  low: Pixel;
  middle: Pixel;
  high: Pixel;
}

function walkAcross(photo: Photo, { t, reach, low, middle, high }: Chord, noise: number): LaneStation {
  const length = Math.hypot(high[0] - low[0], high[1] - low[1]);
  const across: Pixel = [(high[0] - low[0]) / length, (high[1] - low[1]) / length];
  const offset = (p: Pixel) => (p[0] - middle[0]) * across[0] + (p[1] - middle[1]) * across[1];
  const [a, b] = [offset(low), offset(high)];
  // Perspective along the chord: the parabola through its ends and middle.
  const place = (d: number) => (reach * d * (d - a)) / (b * (b - a)) - (reach * d * (d - b)) / (a * (a - b));
  const at = (d: number): Pixel => [middle[0] + d * across[0], middle[1] + d * across[1]];
  const least = Math.max(walk.leastSlope, slopeOfNoise(noise, walk.breadth));
  const chroma = chromaAlong(photo, at, across, [Math.ceil(a), Math.floor(b)]);
  const found = edgesAcross(photo, middle, across, { reach: Math.max(-a, b), breadth: walk.breadth, least })
    .filter(({ offset: d }) => d > a && d < b)
    .map(({ offset: d, slope }) => ({ d, slope }));
  const colour = colourSteps(chroma).filter((d) => found.every((edge) => Math.abs(edge.d - d) > walk.apart));
  const edges = [...found, ...colour.map((d) => ({ d, slope: 0 }))]
    .filter(({ d }) => isInPhoto(photo, at(d), clear))
    .map(({ d, slope }) => ({
      v: place(d),
      d,
      slope,
      below: beside(photo, at(d - walk.beside), across),
      above: beside(photo, at(d + walk.beside), across),
    }))
    .sort((p, q) => p.v - q.v);
  const paper = paperOf(photo, at, a, b);
  const mostColour = strongestColour(chroma, paper);
  return { t, middle, across, pixelsPerMm: (b - a) / (2 * reach), chroma, paper, mostColour, edges };
}

/** Luma, Cb and Cr averaged over a few pixels along the lane. */
function beside(photo: Photo, at: Pixel, across: Pixel): Colour {
  const sum: [number, number, number] = [0, 0, 0];
  let count = 0;
  for (let k = -walk.besideReach; k <= walk.besideReach; k += walk.apartAlong) {
    const colour = samplePhoto(photo, at[0] - k * across[1], at[1] + k * across[0]);
    if (!Number.isFinite(colour[0])) continue;
    for (let i = 0; i < 3; i++) sum[i as 0]! += colour[i as 0]!;
    count++;
  }
  return count === 0 ? unseen : [sum[0] / count, sum[1] / count, sum[2] / count];
}

/** The colour along the walk, each place's a mean over a few places along the lane. */
function chromaAlong(
  photo: Photo,
  at: (d: number) => Pixel,
  across: Pixel,
  [first, last]: [number, number],
): LaneStation['chroma'] {
  const count = Math.max(last - first + 1, 0);
  const [blue, red] = [new Float64Array(count), new Float64Array(count)];
  const { left, top } = heldOf(photo);
  const planes = colourPlanes(photo, 'unknown');
  const [x, y] = at(first);
  let places = 0;
  for (let k = -walk.chromaReach; k <= walk.chromaReach; k += walk.apartAlong) {
    places++;
    const line = Float64Array.of(x - k * across[1] - left, y + k * across[0] - top, ...across);
    halfSizeLine(line);
    addColourAlongLine(planes, line, count, { blue, red }, 0);
  }
  return { first, blue: meanOf(blue, places), red: meanOf(red, places) };
}

function meanOf(sums: Float64Array, count: number): Float32Array {
  const means = new Float32Array(sums.length);
  for (let i = 0; i < sums.length; i++) means[i] = sums[i]! / count;
  return means;
}

/** Of a difference in colour; `Math.hypot` takes several times as long, and is asked at every pixel of a walk. */
const lengthOf = (blue: number, red: number): number => Math.sqrt(blue * blue + red * red);

/** The strongest colour that a walk across the lane meets, levels of Cb and Cr from the paper's. */
export function strongestColour({ blue, red }: LaneStation['chroma'], paper: Colour): number {
  let most = 0;
  let sum = 0;
  const { strongBreadth: breadth } = walk;
  const strong = new Float64Array(blue.length);
  for (let i = 0; i < blue.length; i++) {
    strong[i] = lengthOf(blue[i]! - paper[1], red[i]! - paper[2]) || 0;
    sum += strong[i]! - (i < breadth ? 0 : strong[i - breadth]!);
    if (i >= breadth - 1) most = Math.max(most, sum / breadth);
  }
  return most;
}

/** Where the colour changes most along the walk, pixels from its middle. */
function colourSteps({ first, blue, red }: LaneStation['chroma']): number[] {
  const reach = walk.colourReach;
  const step = (i: number) => {
    const k = lengthOf(blue[i + reach]! - blue[i - reach]!, red[i + reach]! - red[i - reach]!);
    return Number.isFinite(k) ? k : 0;
  };
  const places: number[] = [];
  let here = step(reach);
  let next = step(reach + 1);
  for (let i = reach + 1; i < blue.length - reach - 1; i++) {
    const last = here;
    here = next;
    next = step(i + 1);
    if (here > walk.leastColour && here >= last && here > next) places.push(first + i);
  }
  return places;
}

/** The paper's colour along the walk: medians of its brighter part, what shines left out. */
function paperOf(photo: Photo, at: (d: number) => Pixel, from: number, to: number): Colour {
  const colours: Colour[] = [];
  const { paper } = walk;
  const stride = (to - from) / paper.steps;
  for (let i = 0; i <= paper.steps; i++) {
    const colour = samplePhoto(photo, ...at(from + i * stride));
    if (Number.isFinite(colour[0])) colours.push(colour);
  }
  if (colours.length === 0) return unseen;
  colours.sort((p, q) => p[0] - q[0]);
  const bright = colours.slice(Math.floor(colours.length * paper.from), Math.ceil(colours.length * paper.to));
  const middle = (i: 0 | 1 | 2) =>
    orderStatistic(
      bright.map((c) => c[i]),
      0.5,
    )!;
  return [middle(0), middle(1), middle(2)];
}

/** The same walks with the lane turned round (see `reverseLane`). */
export function reverseEdges({ height, stations }: LaneEdges): LaneEdges {
  return {
    height,
    stations: {
      *[Symbol.iterator]() {
        for (const station of [...stations].reverse()) yield reverseStation(station);
      },
    },
  };
}

const reverseStation = (station: LaneStation): LaneStation => ({
  ...station,
  t: -station.t,
  across: [-station.across[0], -station.across[1]],
  chroma: {
    first: -(station.chroma.first + station.chroma.blue.length - 1),
    blue: station.chroma.blue.toReversed(),
    red: station.chroma.red.toReversed(),
  },
  ...(station.blank && { blank: reverseShare(station.blank) }),
  edges: station.edges
    .map(({ v, d, slope, below, above }) => ({ v: -v, d: -d, slope: -slope, below: above, above: below }))
    .reverse(),
});

const reverseShare = ({ first, share, runs }: BlankShare): BlankShare => ({
  first: -(first + share.length - 1),
  share: share.toReversed(),
  runs: runs.map(({ middle, breadth }) => ({ middle: -middle, breadth })).reverse(),
});
