import type { Pixel } from '../geometry/vector.ts';
import type { HeldParts, HoldParts } from '../photo/photo.ts';
import type { BlankShare, LaneEdge, LaneEdges, LaneStation } from './lane_edges.ts';
import type { Colour } from './strip_relief.ts';

/**
 * The same walks with all their numbers in two arrays: as objects those of two hundred photos would take as much memory
 * as the photos themselves. Each is put together anew whenever it is come to.
 */
export function foldEdges({ height, stations }: LaneEdges, hold: HoldParts = inMemory): LaneEdges {
  const numbers: number[] = [];
  const levels: Float32Array[] = [];
  let levelCount = 0;
  let count = 0;
  const noteLevels = (line: Float32Array) => {
    numbers.push(levelCount, line.length);
    levels.push(line);
    levelCount += line.length;
  };
  for (const { t, middle, across, pixelsPerMm, chroma, paper, mostColour, edges, blank } of stations) {
    count++;
    numbers.push(t, ...middle, ...across, pixelsPerMm, ...paper, mostColour, chroma.first);
    noteLevels(chroma.blue);
    noteLevels(chroma.red);
    numbers.push(edges.length);
    for (const { v, d, slope, below, above } of edges) numbers.push(v, d, slope, ...below, ...above);
    numbers.push(blank ? 1 : 0);
    if (!blank) continue;
    numbers.push(blank.first);
    noteLevels(blank.share);
    numbers.push(blank.runs.length);
    for (const { middle: at, breadth } of blank.runs) numbers.push(at, breadth);
  }
  const joined = new Float32Array(levelCount);
  let at = 0;
  for (const line of levels) {
    joined.set(line, at);
    at += line.length;
  }
  const held = hold([bytesOf(Float64Array.from(numbers)), bytesOf(joined)]);
  return { height, stations: new FoldedStations(held, count) };
}

const inMemory: HoldParts = (parts) => ({ look: () => parts, letGo: () => {} });

const bytesOf = ({ buffer, byteOffset, byteLength }: Float64Array | Float32Array): Uint8Array =>
  new Uint8Array(buffer, byteOffset, byteLength);

class FoldedStations implements Iterable<LaneStation> {
  readonly #held: HeldParts;
  readonly #count: number;

  constructor(held: HeldParts, count: number) {
    this.#held = held;
    this.#count = count;
  }

  *[Symbol.iterator](): Generator<LaneStation> {
    const [numbers, levels] = this.#held.look() as [Uint8Array, Uint8Array];
    // the first begins where a buffer does or after whole numbers of eight bytes, the second after those
    const reader = new Reader(
      new Float64Array(numbers.buffer, numbers.byteOffset, numbers.byteLength / 8),
      new Float32Array(levels.buffer, levels.byteOffset, levels.byteLength / 4),
    );
    for (let i = 0; i < this.#count; i++) yield reader.station();
  }
}

/** Goes through folded numbers in the order in which they were folded. */
class Reader {
  #at = 0;
  readonly #numbers: Float64Array;
  readonly #levels: Float32Array;

  constructor(numbers: Float64Array, levels: Float32Array) {
    this.#numbers = numbers;
    this.#levels = levels;
  }

  station(): LaneStation {
    const t = this.#number();
    const middle = this.#pixel();
    const across = this.#pixel();
    const pixelsPerMm = this.#number();
    const paper = this.#colour();
    const mostColour = this.#number();
    const chroma = { first: this.#number(), blue: this.#line(), red: this.#line() };
    const edges = this.#edges();
    const blank = this.#number() === 1 ? this.#blank() : undefined;
    return { t, middle, across, pixelsPerMm, chroma, paper, mostColour, edges, ...(blank && { blank }) };
  }

  #number(): number {
    return this.#numbers[this.#at++]!;
  }

  #pixel(): Pixel {
    return [this.#number(), this.#number()];
  }

  #colour(): Colour {
    return [this.#number(), this.#number(), this.#number()];
  }

  #line(): Float32Array {
    const from = this.#number();
    return this.#levels.subarray(from, from + this.#number());
  }

  #edges(): LaneEdge[] {
    const edges: LaneEdge[] = [];
    for (let left = this.#number(); left > 0; left--)
      edges.push({
        v: this.#number(),
        d: this.#number(),
        slope: this.#number(),
        below: this.#colour(),
        above: this.#colour(),
      });
    return edges;
  }

  #blank(): BlankShare {
    const first = this.#number();
    const share = this.#line();
    const runs = Array.from({ length: this.#number() }, () => ({ middle: this.#number(), breadth: this.#number() }));
    return { first, share, runs };
  }
}
