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

/** Dense weights by fours of the result's channels, then row, column and channel under the kernel: as they are read. */
function denseWeights({ weights: given, channels, channelsIn, side }: Convolution): Float32Array {
  const kept = keptChannels(channelsIn);
  const taps = side * side;
  const laid = new Float32Array(keptChannels(channels) * taps * kept);
  for (let out = 0; out < channels; out++)
    for (let tap = 0; tap < taps; tap++)
      for (let c = 0; c < channelsIn; c++) {
        const row = ((out >> 2) * taps + tap) * kept + c;
        laid[4 * row + (out & 3)] = given[(out * channelsIn + c) * taps + tap]!;
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

/** Samples of the result that are summed up together, so that each weight is read once for all of them. */
const together = 8;

/**
 * Dense: the sums of `together` samples for four channels at a time, and the rest of the row one by one. Under a kernel
 * of 3 x 3 three samples of a row lie side by side, so that each of its rows is one run of numbers.
 */
function dense(layer: Convolution): wasm.WasmFunction {
  const channelsIn = keptChannels(layer.channelsIn);
  const out = keptChannels(layer.channels) * floatBytes;
  const [read, readEnd, weight, biasOf, biasEnd, result, addedTo, row, rowEnd] = [7, 8, 9, 10, 11, 12, 13, 14, 15];
  const sums = 16;
  const fourWeights = sums + together;
  const sample = layer.stride * channelsIn * floatBytes;
  const run = wasm.whole(layer.side * channelsIn * floatBytes);
  /** Two numbers of the run: each with four weights, into the sums of all samples. */
  const twoNumbers = (samples: number): wasm.Code =>
    [0, 1].map((k) => [
      [wasm.get(weight), wasm.load(k * vectorBytes), wasm.set(fourWeights)],
      eachOf(samples, (p) => [
        [wasm.get(sums + p), wasm.get(read), wasm.loadAlike(p * sample + k * floatBytes)],
        [wasm.get(fourWeights), wasm.multiply, wasm.add, wasm.set(sums + p)],
      ]),
    ]);
  const fourChannels = (samples: number): wasm.Code => [
    eachOf(samples, (p) => [wasm.get(biasOf), wasm.load(0), wasm.set(sums + p)]),
    copy(from, row),
    beyond(from, [wasm.get(rowPitch), wasm.whole(layer.side), wasm.multiplyWhole], rowEnd),
    wasm.repeatWhileBelow(row, rowEnd, [
      copy(row, read),
      beyond(row, run, readEnd),
      wasm.repeatWhileBelow(read, readEnd, [
        twoNumbers(samples),
        wasm.advance(read, 2 * floatBytes),
        wasm.advance(weight, 2 * vectorBytes),
      ]),
      beyond(row, wasm.get(rowPitch), row),
    ]),
    eachOf(samples, (p) => [wasm.get(result), finished(layer, wasm.get(sums + p), addedTo, p * out)]),
    advanceAll([biasOf, result, addedTo], vectorBytes),
  ];
  const samplesAtOnce = (samples: number): wasm.Code =>
    wasm.repeatWhileAtLeast(count, samples, [
      [copy(weights, weight), copy(bias, biasOf), copy(to, result), copy(added, addedTo)],
      beyond(bias, wasm.whole(out), biasEnd),
      wasm.repeatWhileBelow(biasOf, biasEnd, fourChannels(samples)),
      wasm.advance(from, samples * sample),
      advanceAll([to, added], samples * out),
      wasm.advance(count, -samples),
    ]);
  const body = [samplesAtOnce(together), samplesAtOnce(1)];
  return { parameters, wholes: sums - parameters, vectors: together + 1, body };
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
