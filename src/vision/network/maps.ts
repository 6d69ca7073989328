import { keptChannels } from './kernels.ts';
import type { Layer } from './layers.ts';

/**
 * A map in a network's memory: sample by sample and row by row, each sample's channels side by side (whole fours, the
 * rest zeros), with a border of one sample of zeros all round.
 */
export interface PlacedMap {
  rows: number;
  width: number;
  channels: number;
  /** the border's upper left sample, floats from the memory's start */
  at: number;
}

const floatBytes = 4;

/** Floats from one row of a map to the next. */
export const pitchOf = ({ width, channels }: PlacedMap): number => (width + 2) * keptChannels(channels);
const floatsOf = (map: PlacedMap): number => (map.rows + 2) * pitchOf(map);
/** The byte where a sample lies; row and column may be -1 and one beyond the last: the border. */
export const addressOf = (map: PlacedMap, row: number, column: number): number =>
  floatBytes * (map.at + (row + 1) * pitchOf(map) + (column + 1) * keptChannels(map.channels));

/**
 * Places for the maps that a network makes of a picture, from the float `start` on: the picture's first. A map that no
 * later layer reads gives its place to others. `end` = the first float beyond all of them.
 */
export function placeMaps(
  layers: readonly Layer[],
  picture: { name: string; rows: number; width: number; channels: number },
  start: number,
): { maps: Map<string, PlacedMap>; end: number } {
  const maps = new Map<string, PlacedMap>([[picture.name, { ...picture, at: start }]]);
  const lastUse = new Map<string, number>();
  layers.forEach(({ from, added }, i) => {
    lastUse.set(from, i);
    if (added !== undefined) lastUse.set(added, i);
  });
  let living = [maps.get(picture.name)!];
  let end = start + floatsOf(living[0]!);
  layers.forEach((layer, i) => {
    const from = maps.get(layer.from)!;
    const resized = (length: number) =>
      layer.kind === 'doubling' ? 2 * length : Math.floor((length - 1) / layer.stride) + 1;
    const made = { rows: resized(from.rows), width: resized(from.width), channels: layer.channels, at: start };
    made.at = firstGap(living, floatsOf(made), start);
    maps.set(layer.to, made);
    end = Math.max(end, made.at + floatsOf(made));
    living = [...living, made].filter((map) => {
      const name = [...maps].find(([, placed]) => placed === map)![0];
      return (lastUse.get(name) ?? layers.length) > i;
    });
  });
  return { maps, end };
}

/** The first place, from `start` on, where this many floats overlap no living map. */
function firstGap(living: readonly PlacedMap[], floats: number, start: number): number {
  let at = start;
  for (const map of living.toSorted((a, b) => a.at - b.at)) {
    if (at + floats <= map.at) break;
    at = Math.max(at, map.at + floatsOf(map));
  }
  return at;
}

/** Sets a map's border to zeros. */
export function clearBorder(memory: Float32Array, map: PlacedMap): void {
  const pitch = pitchOf(map);
  const channels = keptChannels(map.channels);
  memory.fill(0, map.at, map.at + pitch);
  memory.fill(0, map.at + (map.rows + 1) * pitch, map.at + (map.rows + 2) * pitch);
  // A row's last border sample and the next one's first lie side by side.
  for (let row = 1; row <= map.rows + 1; row++) {
    const at = map.at + row * pitch;
    memory.fill(0, at - channels, at + channels);
  }
}

/** Fills a map from channels in planes, each row by row. */
export function fillFromPlanes(memory: Float32Array, map: PlacedMap, planes: Float32Array): void {
  const kept = keptChannels(map.channels);
  const plane = map.rows * map.width;
  for (let row = 0; row < map.rows; row++) {
    const first = addressOf(map, row, 0) / floatBytes;
    memory.fill(0, first, first + map.width * kept);
    for (let c = 0; c < map.channels; c++) {
      const from = c * plane + row * map.width;
      copyEvery(planes, { at: from, step: 1 }, memory, { at: first + c, step: kept }, map.width);
    }
  }
}

/** A map's channels as planes, each row by row. */
export function planesOf(memory: Float32Array, map: PlacedMap): Float32Array {
  const kept = keptChannels(map.channels);
  const plane = map.rows * map.width;
  const planes = new Float32Array(map.channels * plane);
  for (let row = 0; row < map.rows; row++) {
    const first = addressOf(map, row, 0) / floatBytes;
    for (let c = 0; c < map.channels; c++) {
      const to = c * plane + row * map.width;
      copyEvery(memory, { at: first + c, step: kept }, planes, { at: to, step: 1 }, map.width);
    }
  }
  return planes;
}

/** Where numbers of a row lie: the first, and how far apart. */
interface Places {
  at: number;
  step: number;
}

/** Copies `count` numbers. */
function copyEvery(source: Float32Array, from: Places, target: Float32Array, to: Places, count: number): void {
  const { at: first, step } = from;
  const { at: into, step: stride } = to;
  for (let i = 0; i < count; i++) target[into + i * stride] = source[first + i * step]!;
}
