import { describe, expect, test } from 'vitest';
import { finderWeights } from '../../../src/vision/finder/weights_node.ts';
import { readOnnx } from '../../../src/vision/network/onnx_file.ts';

/** A field of a protocol buffer: a whole number, or bytes that tell their length. */
const varint = (value: number): number[] => (value < 128 ? [value] : [(value & 127) | 128, ...varint(value >> 7)]);
const whole = (field: number, value: number): number[] => [...varint(field * 8), ...varint(value)];
const sized = (field: number, bytes: readonly number[]): number[] => [
  ...varint(field * 8 + 2),
  ...varint(bytes.length),
  ...bytes,
];
const text = (field: number, value: string): number[] => sized(field, [...new TextEncoder().encode(value)]);

const operation = (kind: string, inputs: readonly string[], output: string, more: readonly number[] = []): number[] =>
  sized(1, [...inputs.flatMap((name) => text(1, name)), ...text(2, output), ...text(4, kind), ...more]);
const weights = (name: string, type: number, shape: readonly number[], raw: readonly number[]): number[] =>
  sized(5, [...shape.flatMap((n) => whole(1, n)), ...whole(2, type), ...text(8, name), ...sized(9, raw)]);
const value = (field: number, name: string): number[] => sized(field, text(1, name));
const file = (...graph: readonly number[][]): Uint8Array => Uint8Array.from(sized(7, graph.flat()));

describe('a network’s file', () => {
  const strides = sized(5, [...text(1, 'strides'), ...sized(8, [2, 1])]);
  const mode = sized(5, [...text(1, 'mode'), ...text(4, 'nearest')]);
  const floats = [...new Uint8Array(Float32Array.of(1.5, -2).buffer)];
  const graph = readOnnx(
    file(
      operation('Cast', ['half'], 'w'),
      operation('Conv', ['picture', 'w', 'b'], 'a', strides),
      operation('Resize', ['a'], 'out', mode),
      // 1, -2, the least positive number, and infinity in sixteen bits
      weights('half', 10, [4], [0x00, 0x3c, 0x00, 0xc0, 0x01, 0x00, 0x00, 0x7c]),
      weights('b', 1, [2], floats),
      value(11, 'half'),
      value(11, 'picture'),
      value(12, 'out'),
    ),
  );

  test('tells its operations in order, what was cast standing for itself', () => {
    expect([graph.input, graph.output]).toEqual(['picture', 'out']);
    expect(graph.operations.map(({ kind, inputs, output }) => [kind, inputs, output])).toEqual([
      ['Conv', ['picture', 'w', 'b'], 'a'],
      ['Resize', ['a'], 'out'],
    ]);
    expect(graph.operations[0]!.numbers.get('strides')).toEqual([2, 1]);
    expect(graph.operations[1]!.words.get('mode')).toBe('nearest');
  });

  test('holds weights of 32 and of 16 bits, number for number', () => {
    expect(Array.from(graph.weights.get('b')!.values)).toEqual([1.5, -2]);
    expect(Array.from(graph.weights.get('w')!.values)).toEqual([1, -2, 2 ** -24, Number.POSITIVE_INFINITY]);
    expect(graph.weights.get('w')!.shape).toEqual([4]);
  });

  const axis = (number: number): number[] => sized(5, [...text(1, 'axis'), ...whole(3, number)]);
  const inEight = (...more: number[][]): Uint8Array =>
    file(
      operation('DequantizeLinear', ['steps', 's', 'z'], 'w', axis(0)),
      weights('steps', 3, [2, 1, 1, 2], [127, 0x81, 0, 5]),
      weights('s', 1, [2], [...new Uint8Array(Float32Array.of(0.5, 2).buffer)]),
      value(11, 'picture'),
      value(12, 'out'),
      ...more,
    );

  test('holds weights of 8 bits, each output channel less its zero and times its scale', () => {
    const { operations, weights: held } = readOnnx(inEight(weights('z', 3, [2], [0, 1])));
    expect(operations).toEqual([]);
    expect(held.get('w')!.shape).toEqual([2, 1, 1, 2]);
    expect(Array.from(held.get('w')!.values)).toEqual([63.5, -63.5, -2, 8]);
  });

  test.each<[string, Uint8Array, RegExp]>([
    ['8 bits and a zero for one channel of two', inEight(weights('z', 3, [1], [0])), /steps have no scale for each/],
    ['nothing', new Uint8Array(0), /holds no graph/],
    ['no output', file(operation('Relu', ['a'], 'b')), /holds no output/],
    ['numbers of another type', file(weights('w', 7, [1], [0, 0, 0, 0, 0, 0, 0, 0])), /no floats of 32 or 16 bits/],
  ])('that holds %s is refused', (_, bytes, message) => {
    expect(() => readOnnx(bytes)).toThrow(message);
  });

  test('that is cut off anywhere is refused', async () => {
    const { lane } = await finderWeights();
    for (const share of [0.2, 0.5, 0.9, 0.9999])
      expect(() => readOnnx(lane.subarray(0, Math.floor(share * lane.length)))).toThrow(/cut off/);
  });
});
