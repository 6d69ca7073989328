import type { Stretch } from '../plan/stretch.ts';
import { type BlankAxis, blankRadius } from '../geometry/blank_axis.ts';
import { median, robustSigma, runningMedian } from '../numerics/robust.ts';
import { acrossPlaces, straighten, type View, visibleStretch } from './strip.ts';
import type { Colour } from './strip_relief.ts';

/** The map a line is looked for on: finer costs time, coarser blurs a thin stroke away. */
const mapped = {
  /** rows across the blank's width, out to a share of the radius: the limb itself is all blur */
  rows: 61,
  limit: 0.96,
  /** mm of blank behind each cell of the map, so marks and specks stay local, and samples a mm along */
  block: 4,
  perMm: 4,
  /** pixels of photo round what is mapped */
  margin: 30,
  /** rows at both limbs, where blur changes from block to block, and rows between those that tell the noise */
  noiseInside: 4,
  noiseEvery: 2,
  /** least standard deviation of luma and of colour from block to block */
  leastNoise: { luma: 1.5, colour: 0.8 },
  /** what runs on over half of this many mm is taken for light along the blank in a first look */
  running: 300,
} as const;
const { rows: ROWS, limit: LIMIT, block: BLOCK, perMm: PER_MM } = mapped;

/** mm of blank behind each block of a map. */
export const mapBlock = BLOCK;

/** One photo's blank as a map of blocks along (BLOCK mm each) by rows across, each the median over the block. */
export interface BlockMap {
  from: number;
  blocks: number;
  /** across-width place of each row */
  across: readonly number[];
  /** blocks x rows x 3, NaN where unseen */
  colours: Float64Array;
  facing: Float64Array;
  radius: Float64Array;
  pixelsPerMm: Float64Array;
}

/**
 * The map of what one photo shows of `range` (mm), its blocks on the grid that begins at the range's start; undefined
 * where it shows less than `shortest` mm.
 */
export function mapBlank(view: View, axis: BlankAxis, range: Stretch, shortest: number): BlockMap | undefined {
  const stretch = visibleStretch(view, axis, range, mapped.margin);
  if (stretch === undefined || stretch.to - stretch.from < shortest) return undefined;
  const first = Math.ceil((stretch.from - range.from) / BLOCK - rounding) * BLOCK + range.from;
  return stretch.to - first < shortest ? undefined : blockMap(view, axis, { from: first, to: stretch.to });
}

/** A place this near a block's start, as a share of it, is at it. */
const rounding = 1e-9;

function blockMap(view: View, axis: BlankAxis, stretch: Stretch): BlockMap {
  const strip = straighten(view, axis, stretch, acrossPlaces(ROWS, LIMIT), PER_MM);
  const perBlock = BLOCK * PER_MM;
  const blocks = Math.floor(strip.columns / perBlock);
  const map: BlockMap = {
    from: stretch.from,
    blocks,
    across: strip.across,
    colours: new Float64Array(blocks * ROWS * 3),
    facing: new Float64Array(blocks),
    radius: new Float64Array(blocks),
    pixelsPerMm: new Float64Array(blocks),
  };
  const channels = [strip.luma, strip.blueDifference, strip.redDifference];
  for (let b = 0; b < blocks; b++) {
    const middle = b * perBlock + (perBlock >> 1);
    map.facing[b] = strip.facing[middle]!;
    map.radius[b] = blankRadius(axis, stretch.from + (b + 0.5) * BLOCK);
    map.pixelsPerMm[b] = strip.pixelsPerMm[middle]!;
    for (let k = 0; k < ROWS; k++) {
      const row = k * strip.columns + b * perBlock;
      for (const [i, channel] of channels.entries()) {
        map.colours[(b * ROWS + k) * 3 + i] = median(channel.subarray(row, row + perBlock));
      }
    }
  }
  return map;
}

/** Luma or colour at across-width place w of a block, linear between rows; NaN outside. */
export function valueAt(map: BlockMap, block: number, w: number, channel: number): number {
  const place = ((w + LIMIT) / (2 * LIMIT)) * (ROWS - 1);
  const k = Math.floor(place);
  if (!(k >= 0 && k < ROWS - 1)) return Number.NaN;
  const i = (block * ROWS + k) * 3 + channel;
  return map.colours[i]! + (map.colours[i + 3]! - map.colours[i]!) * (place - k);
}

/** Noise of each channel: how much the same row changes from one block to the next. */
export function mapNoise(map: BlockMap): Colour {
  return [0, 1, 2].map((channel) => {
    const changes: number[] = [];
    for (let b = 1; b < map.blocks; b++) {
      for (let k = mapped.noiseInside; k < ROWS - mapped.noiseInside; k += mapped.noiseEvery) {
        const i = (b * ROWS + k) * 3 + channel;
        changes.push(map.colours[i]! - map.colours[i - ROWS * 3]!);
      }
    }
    return Math.max(
      robustSigma(changes, 0) / Math.SQRT2,
      channel === 0 ? mapped.leastNoise.luma : mapped.leastNoise.colour,
    );
  }) as unknown as Colour;
}

/** The map less, row by row, its running median along: what is longer than half of its window is gone. */
export function withoutRunning(map: BlockMap): BlockMap {
  const colours = map.colours.slice();
  for (let k = 0; k < ROWS * 3; k++) {
    const row = Float64Array.from({ length: map.blocks }, (_, b) => map.colours[b * ROWS * 3 + k]!);
    const background = runningMedian(row, Math.round(mapped.running / 2 / BLOCK));
    for (let b = 0; b < map.blocks; b++) colours[b * ROWS * 3 + k]! -= background[b]!;
  }
  return { ...map, colours };
}
