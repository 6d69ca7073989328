import { describe, expect, test } from 'vitest';
import { layersOf } from '../../../src/vision/network/layers.ts';
import { loadNetwork, networkOf } from '../../../src/vision/network/network.ts';
import type { OnnxGraph, OnnxOperation } from '../../../src/vision/network/onnx_file.ts';
import { finderWeights } from '../../../src/vision/finder/weights_node.ts';
import { openCv } from '../open_cv.ts';

/** Numbers from -1 to 1 that look like chance and are the same each time (Park and Miller 1988). */
function numbers(count: number, seed: number): Float32Array {
  let state = seed;
  return Float32Array.from({ length: count }, () => {
    state = (state * 48271) % 2147483647;
    return (2 * state) / 2147483647 - 1;
  });
}

const largestDifference = (a: Float32Array, b: Float32Array): number =>
  a.reduce((largest, value, i) => Math.max(largest, Math.abs(value - b[i]!)), 0);

interface Shape {
  channelsIn: number;
  channels: number;
  side: number;
  stride: number;
  groups: number;
}

const operation = (kind: string, inputs: string[], output: string): OnnxOperation => ({
  kind,
  inputs,
  output,
  numbers: new Map(),
  words: new Map(),
});

function convolution(inputs: string[], output: string, { side, stride, groups }: Shape): OnnxOperation {
  const pad = side === 3 ? 1 : 0;
  return {
    ...operation('Conv', inputs, output),
    numbers: new Map([
      ['kernel_shape', [side, side]],
      ['strides', [stride, stride]],
      ['group', [groups]],
      ['pads', [pad, pad, pad, pad]],
      ['dilations', [1, 1]],
    ]),
  };
}

const weightsFor = ({ channelsIn, channels, side, groups }: Shape, seed: number) => ({
  weights: numbers((channels * channelsIn * side * side) / groups, seed),
  bias: numbers(channels, seed + 1),
});

/** A convolution as its definition says, in double precision. */
function byDefinition(planes: Float32Array, rows: number, width: number, shape: Shape, seed: number): Float32Array {
  const { channelsIn, channels, side, stride, groups } = shape;
  const { weights, bias } = weightsFor(shape, seed);
  const border = side === 3 ? 1 : 0;
  const [rowsOut, widthOut] = [Math.ceil(rows / stride), Math.ceil(width / stride)];
  const ofGroup = channelsIn / groups;
  const result = new Float32Array(channels * rowsOut * widthOut);
  for (let out = 0; out < channels; out++)
    for (let row = 0; row < rowsOut; row++)
      for (let column = 0; column < widthOut; column++) {
        let sum = bias[out]!;
        for (let c = 0; c < ofGroup; c++)
          for (let y = 0; y < side; y++)
            for (let x = 0; x < side; x++) {
              const [r, q] = [row * stride + y - border, column * stride + x - border];
              if (r < 0 || q < 0 || r >= rows || q >= width) continue;
              const channel = groups === 1 ? c : out;
              sum += weights[((out * ofGroup + c) * side + y) * side + x]! * planes[(channel * rows + r) * width + q]!;
            }
        result[(out * rowsOut + row) * widthOut + column] = sum;
      }
  return result;
}

/** A graph of one convolution from the picture, and another from its result. */
function twoConvolutions(first: Shape, second: Shape, after: OnnxOperation[], output: string): OnnxGraph {
  const weights: OnnxGraph['weights'] = new Map();
  for (const [name, shape, seed] of [
    ['first', first, 11],
    ['second', second, 23],
  ] as const) {
    const made = weightsFor(shape, seed);
    const ofGroup = shape.channelsIn / shape.groups;
    weights.set(`${name}.w`, { shape: [shape.channels, ofGroup, shape.side, shape.side], values: made.weights });
    weights.set(`${name}.b`, { shape: [shape.channels], values: made.bias });
  }
  const operations = [
    convolution(['picture', 'first.w', 'first.b'], 'a', first),
    convolution(['a', 'second.w', 'second.b'], 'b', second),
    ...after,
  ];
  return { input: 'picture', output, operations, weights };
}

const shape = (channelsIn: number, channels: number, side: number, stride = 1, groups = 1): Shape => ({
  channelsIn,
  channels,
  side,
  stride,
  groups,
});

describe('a network in WebAssembly', () => {
  // Sizes that leave a rest beside the eight samples and four channels that are worked out together.
  test.each([
    ['dense, 3 x 3 and 1 x 1', shape(3, 12, 3), shape(12, 7, 1), 6, 21],
    ['dense at every other sample', shape(3, 8, 3, 2), shape(8, 5, 3, 2), 12, 44],
    ['depthwise', shape(3, 10, 1), shape(10, 10, 3, 1, 10), 5, 17],
    ['depthwise at every other sample', shape(3, 6, 3), shape(6, 6, 3, 2, 6), 8, 26],
    ['a single column', shape(3, 4, 3, 2), shape(4, 4, 3), 2, 2],
  ])('convolves as the definition says: %s', async (_, first, second, rows, width) => {
    const planes = numbers(3 * rows * width, 5);
    const network = await networkOf(twoConvolutions(first, second, [], 'b'));
    const between = byDefinition(planes, rows, width, first, 11);
    const [rowsBetween, widthBetween] = [Math.ceil(rows / first.stride), Math.ceil(width / first.stride)];
    const expected = byDefinition(between, rowsBetween, widthBetween, second, 23);
    const found = network.run(planes, width, rows);
    expect(found.length).toBe(expected.length);
    expect(largestDifference(found, expected)).toBeLessThan(2e-5);
    // the memory still holds the first picture's maps
    expect(largestDifference(network.run(planes, width, rows), expected)).toBeLessThan(2e-5);
  });

  test('doubles, adds and cuts', async () => {
    const doubled = { ...operation('Resize', ['b', ''], 'twice'), words: new Map([['mode', 'nearest']]) };
    const after = [doubled, operation('Add', ['a', 'twice'], 'sum'), operation('Relu', ['sum'], 'cut')];
    const [first, second] = [shape(3, 6, 3), shape(6, 6, 3, 2)];
    const [rows, width] = [4, 10];
    const planes = numbers(3 * rows * width, 7);
    const a = byDefinition(planes, rows, width, first, 11);
    const b = byDefinition(a, rows, width, second, 23);
    const expected = a.map((value, i) => {
      const [plane, row, column] = [Math.floor(i / (rows * width)), Math.floor(i / width) % rows, i % width];
      return Math.max(value + b[((plane * rows) / 2 + (row >> 1)) * (width / 2) + (column >> 1)]!, 0);
    });
    const network = await networkOf(twoConvolutions(first, second, after, 'cut'));
    const found = network.run(planes, width, rows);
    expect(found.some((value) => value > 0)).toBe(true);
    expect(largestDifference(found, expected)).toBeLessThan(2e-5);
  });

  test('refuses what it does not know', () => {
    const graph = twoConvolutions(shape(3, 4, 3), shape(4, 4, 1), [operation('Softmax', ['b'], 'c')], 'c');
    expect(() => layersOf(graph)).toThrow('Softmax');
    const [wide] = twoConvolutions(shape(3, 4, 5), shape(4, 4, 1), [], 'b').operations;
    expect(() => layersOf({ ...graph, operations: [wide!] })).toThrow('first.w');
    return expect(loadNetwork(new Uint8Array(40))).rejects.toThrow('network');
  });
});

/** What this test calls of OpenCV: its dnn module. */
interface OpenCvDnn {
  Mat: new (rows: number, columns: number, type: number) => { data32F: Float32Array };
  CV_32F: number;
  CV_32FC3: number;
  Size: new (width: number, height: number) => object;
  Scalar: new (...values: number[]) => object;
  FS_createDataFile(folder: string, name: string, bytes: Uint8Array, read: boolean, write: boolean, own: boolean): void;
  readNetFromONNX(path: string): {
    setInput(blob: object, name: string): void;
    forward(name: string): { data32F: Float32Array };
  };
  blobFromImage(...of: unknown[]): { data32F: Float32Array };
}

test("the finder's networks say what OpenCV's dnn module makes of them", { timeout: 60_000 }, async () => {
  const { cv } = await openCv<OpenCvDnn>();
  const weights = await finderWeights();
  for (const [name, rows] of [
    ['strip', 224],
    ['lane', 256],
    ['tip', 64],
  ] as const) {
    cv.FS_createDataFile('/', `${name}.onnx`, weights[name], true, true, false);
    const net = cv.readNetFromONNX(`/${name}.onnx`);
    const width = 64;
    const planes = numbers(3 * rows * width, 3).map(Math.abs);
    const image = new cv.Mat(rows, width, cv.CV_32FC3);
    const black = new cv.Scalar(0, 0, 0, 0);
    const blob = cv.blobFromImage(image, 1, new cv.Size(0, 0), black, false, false, cv.CV_32F);
    blob.data32F.set(planes);
    net.setInput(blob, '');
    const expected = net.forward('').data32F.slice();
    const found = (await loadNetwork(weights[name])).run(planes, width, rows);
    expect(found.length).toBe(expected.length);
    expect(Math.max(...expected) - Math.min(...expected)).toBeGreaterThan(1);
    expect(largestDifference(found, expected)).toBeLessThan(1e-3);
  }
});
