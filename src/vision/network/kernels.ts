import type { Convolution, Doubling, Layer } from './layers.ts';
import * as wasm from './wasm_code.ts';

/**
 * A layer is machine code that makes one row of its result. Maps lie in memory sample by sample, each sample's channels
 * side by side, four to a vector; how many there are is known beforehand, so that distances between samples are part of
 * the instructions.
 */

/** Channels as they are kept: whole vectors, the rest zeros. */
export const keptChannels = (channels: number): number => 4 * Math.ceil(channels / 4);

/**
 * The whole numbers that a kernel is called with: addresses of the map it reads (at the first sample under the kernel's
 * upper left corner), of the one it writes and of the one it adds (0 where none), of weights and bias; how many samples
 * to make; and how far apart the rows of the map it reads lie, bytes.
 */
const from = 0;
const to = 1;
const added = 2;
const weights = 3;
const bias = 4;
const count = 5;
const rowPitch = 6;
const parameters = 7;

const floatBytes = 4;
const vectorBytes = 16;

const namesAndValues = new Set(['from', 'to', 'weights', 'bias']);
/** All that a layer's code depends on: layers alike share it. */
export const likenessOf = (layer: Layer): string =>
  JSON.stringify(layer, (key, value) => (namesAndValues.has(key) ? undefined : key === 'added' ? true : value));

export function codeOf(layer: Layer): wasm.WasmFunction {
  if (layer.kind === 'doubling') return doubling(layer);
  return layer.kind === 'dense' ? dense(layer) : depthwise(layer);
}

/** A layer's weights and bias as its code reads them. */
export function constantsOf(layer: Layer): { weights: Float32Array; bias: Float32Array } {
  if (layer.kind === 'doubling') return { weights: new Float32Array(0), bias: new Float32Array(0) };
  const kept = new Float32Array(keptChannels(layer.channels));
  kept.set(layer.bias);
  return { weights: layer.kind === 'dense' ? denseWeights(layer) : depthwiseWeights(layer), bias: kept };
}

/**
 * Dense weights by pairs of vectors of the result's channels (the last vector by itself where it has no second), then
 * row, column and channel under the kernel: as they are read.
 */
function denseWeights({ weights: given, channels, channelsIn, side }: Convolution): Float32Array {
  const kept = keptChannels(channelsIn);
  const taps = side * side;
  const laid = new Float32Array(keptChannels(channels) * taps * kept);
  const paired = 2 * pairsOf(channels);
  for (let out = 0; out < channels; out++) {
    const vector = out >> 2;
    const [first, wide] = vector < paired ? [vector & ~1, 2] : [vector, 1];
    for (let tap = 0; tap < taps; tap++)
      for (let c = 0; c < channelsIn; c++) {
        const row = (first * taps + tap * wide) * kept + c * wide + (vector - first);
        laid[4 * row + (out & 3)] = given[(out * channelsIn + c) * taps + tap]!;
      }
  }
  return laid;
}

/** Depthwise weights by row and column under the kernel, then channel. */
function depthwiseWeights({ weights: given, channels, side }: Convolution): Float32Array {
  const kept = keptChannels(channels);
  const taps = side * side;
  const laid = new Float32Array(taps * kept);
  for (let c = 0; c < channels; c++) for (let tap = 0; tap < taps; tap++) laid[tap * kept + c] = given[c * taps + tap]!;
  return laid;
}

/** What is done to a sum before it is stored at `distance` from the address on the stack. */
function finished(layer: Layer, sum: wasm.Code, addedTo: number, distance: number): wasm.Code {
  const whole = layer.added ? [sum, wasm.get(addedTo), wasm.load(distance), wasm.add] : sum;
  return [layer.cut ? [wasm.zeros, whole, wasm.larger] : whole, wasm.store(distance)];
}

const copy = (pointer: number, into: number): wasm.Code => [wasm.get(pointer), wasm.set(into)];
/** `into` = a pointer and so many bytes. */
const beyond = (pointer: number, bytes: wasm.Code, into: number): wasm.Code => [
  [wasm.get(pointer), bytes, wasm.addWhole, wasm.set(into)],
];
const advanceAll = (pointers: readonly number[], bytes: number): wasm.Code =>
  pointers.map((pointer) => wasm.advance(pointer, bytes));

/**
 * Samples of the result that are summed up together, two vectors of their channels at a time, so that each weight is
 * read once for all of them and each number for both. More sums, or two numbers a turn, and V8, which reads all that a
 * turn needs before it multiplies, is short of the processor's sixteen registers: that takes twice as long.
 */
const together = 4;
const pairsOf = (channels: number): number => keptChannels(channels) >> 3;

/** What the code of a dense layer keeps, beside what it is called with. */
const [read, readEnd, weight, biasOf, biasEnd, result, addedTo, row, rowEnd] = [7, 8, 9, 10, 11, 12, 13, 14, 15];
const sums = 16;
const weightsOf = sums + 2 * together;
const number = weightsOf + 2;

/**
 * Dense: the sums of `together` samples for two vectors of channels at a time, and what is left of either one by one.
 * Under a kernel of 3 x 3 three samples of a row lie side by side, so that each of its rows is one run of numbers.
 */
function dense(layer: Convolution): wasm.WasmFunction {
  const out = keptChannels(layer.channels) * floatBytes;
  const sample = layer.stride * keptChannels(layer.channelsIn) * floatBytes;
  const pairs = pairsOf(layer.channels);
  const allChannels = (samples: number): wasm.Code => [
    pairs > 0
      ? [
          beyond(bias, wasm.whole(2 * pairs * vectorBytes), biasEnd),
          wasm.repeatWhileBelow(biasOf, biasEnd, denseSums(layer, samples, 2)),
        ]
      : [],
    out > 2 * pairs * vectorBytes ? denseSums(layer, samples, 1) : [],
  ];
  const samplesAtOnce = (samples: number): wasm.Code =>
    wasm.repeatWhileAtLeast(count, samples, [
      [copy(weights, weight), copy(bias, biasOf), copy(to, result), copy(added, addedTo)],
      allChannels(samples),
      wasm.advance(from, samples * sample),
      advanceAll([to, added], samples * out),
      wasm.advance(count, -samples),
    ]);
  const body = [samplesAtOnce(together), samplesAtOnce(1)];
  return { parameters, wholes: sums - parameters, vectors: number + 1 - sums, body };
}

/** Sums up so many samples for so many vectors of channels, stores them, and goes on to the next channels. */
function denseSums(layer: Convolution, samples: number, vectors: number): wasm.Code {
  const channelsIn = keptChannels(layer.channelsIn);
  const out = keptChannels(layer.channels) * floatBytes;
  const sample = layer.stride * channelsIn * floatBytes;
  const run = wasm.whole(layer.side * channelsIn * floatBytes);
  const eachSum = (code: (sum: number, sample: number, vector: number) => wasm.Code): wasm.Code =>
    eachOf(samples, (p) => eachOf(vectors, (v) => code(sums + p * vectors + v, p, v)));
  /** A number of the run of each sample with its weights, into all sums. */
  const oneNumber: wasm.Code = [
    eachOf(vectors, (v) => [wasm.get(weight), wasm.load(v * vectorBytes), wasm.set(weightsOf + v)]),
    eachOf(samples, (p) => [
      [wasm.get(read), wasm.loadAlike(p * sample), wasm.set(number)],
      eachOf(vectors, (v) => {
        const sum = sums + p * vectors + v;
        return [wasm.get(sum), wasm.get(number), wasm.get(weightsOf + v), wasm.multiply, wasm.add, wasm.set(sum)];
      }),
    ]),
  ];
  return [
    eachSum((sum, _, v) => [wasm.get(biasOf), wasm.load(v * vectorBytes), wasm.set(sum)]),
    copy(from, row),
    beyond(from, [wasm.get(rowPitch), wasm.whole(layer.side), wasm.multiplyWhole], rowEnd),
    wasm.repeatWhileBelow(row, rowEnd, [
      copy(row, read),
      beyond(row, run, readEnd),
      wasm.repeatWhileBelow(read, readEnd, [
        oneNumber,
        wasm.advance(read, floatBytes),
        wasm.advance(weight, vectors * vectorBytes),
      ]),
      beyond(row, wasm.get(rowPitch), row),
    ]),
    eachSum((sum, p, v) => [wasm.get(result), finished(layer, wasm.get(sum), addedTo, p * out + v * vectorBytes)]),
    advanceAll([biasOf, result, addedTo], vectors * vectorBytes),
  ];
}

const eachOf = (samples: number, code: (sample: number) => wasm.Code): wasm.Code =>
  Array.from({ length: samples }, (_, p) => code(p));

/** Depthwise: each sample's channels four at a time. */
function depthwise(layer: Convolution): wasm.WasmFunction {
  const bytes = keptChannels(layer.channels) * floatBytes;
  const [upper, middle, lower, weight, biasOf, biasEnd] = [7, 8, 9, 10, 11, 12];
  const rows = [upper, middle, lower].slice(0, layer.side);
  const taps = rows.map((row, y) =>
    rows.map((_, x) => [
      [wasm.get(row), wasm.load(x * bytes), wasm.get(weight), wasm.load((y * layer.side + x) * bytes)],
      [wasm.multiply, wasm.add],
    ]),
  );
  const sample: wasm.Code = [
    copy(from, upper),
    beyond(upper, wasm.get(rowPitch), middle),
    beyond(middle, wasm.get(rowPitch), lower),
    [copy(weights, weight), copy(bias, biasOf), beyond(bias, wasm.whole(bytes), biasEnd)],
    wasm.repeatWhileBelow(biasOf, biasEnd, [
      wasm.get(to),
      finished(layer, [wasm.get(biasOf), wasm.load(0), taps], added, 0),
      advanceAll([upper, middle, lower, weight, biasOf, to, added], vectorBytes),
    ]),
    wasm.advance(from, layer.stride * bytes),
    wasm.advance(count, -1),
  ];
  return { parameters, wholes: 6, vectors: 0, body: wasm.repeatWhileAtLeast(count, 1, sample) };
}

/** Doubling: each sample of the coarse row twice; `count` = samples of the coarse row. */
function doubling(layer: Doubling): wasm.WasmFunction {
  const bytes = keptChannels(layer.channels) * floatBytes;
  const end = 7;
  const sample: wasm.Code = [
    beyond(from, wasm.whole(bytes), end),
    wasm.repeatWhileBelow(from, end, [
      [0, bytes].map((distance) => [wasm.get(to), finished(layer, [wasm.get(from), wasm.load(0)], added, distance)]),
      advanceAll([from, to, added], vectorBytes),
    ]),
    advanceAll([to, added], bytes),
    wasm.advance(count, -1),
  ];
  return { parameters, wholes: 1, vectors: 0, body: wasm.repeatWhileAtLeast(count, 1, sample) };
}
