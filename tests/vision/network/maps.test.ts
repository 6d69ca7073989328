import { expect, test } from 'vitest';
import { constantsOf, keptChannels, likenessOf } from '../../../src/vision/network/kernels.ts';
import type { Convolution, Layer } from '../../../src/vision/network/layers.ts';
import {
  addressOf,
  clearBorder,
  fillFromPlanes,
  pitchOf,
  placeMaps,
  planesOf,
  type PlacedMap,
} from '../../../src/vision/network/maps.ts';

const map: PlacedMap = { rows: 3, width: 5, channels: 6, at: 40 };

test('channels are kept in whole fours, rows with their border', () => {
  expect([1, 4, 5, 6, 8].map(keptChannels)).toEqual([4, 4, 8, 8, 8]);
  expect(pitchOf(map)).toBe(7 * 8);
  expect(addressOf(map, -1, -1)).toBe(4 * 40);
  expect(addressOf(map, 0, 0) - addressOf(map, 0, -1)).toBe(4 * 8);
});

test('planes come back as they were put in, and the border is nothing but zeros', () => {
  const memory = new Float32Array(400).fill(9);
  const planes = Float32Array.from({ length: 6 * 15 }, (_, i) => i + 1);
  fillFromPlanes(memory, map, planes);
  clearBorder(memory, map);
  expect(planesOf(memory, map)).toEqual(planes);
  for (const [row, column] of [
    [-1, -1],
    [-1, 5],
    [1, -1],
    [1, 5],
    [3, 2],
  ] as const)
    expect(
      Array.from(memory.subarray(addressOf(map, row, column) / 4, addressOf(map, row, column) / 4 + 8)),
      `${row} ${column}`,
    ).toEqual(Array(8).fill(0));
  // channels beyond the sixth are zeros, what lies around the map is untouched
  expect(memory[addressOf(map, 1, 1) / 4 + 6]).toBe(0);
  expect([memory[39], memory[40 + 5 * pitchOf(map)]]).toEqual([9, 9]);
});

const layer = (from: string, to: string, more: Partial<Convolution> = {}): Convolution => ({
  kind: 'dense',
  from,
  to,
  channels: 4,
  channelsIn: 4,
  side: 3,
  stride: 1,
  cut: true,
  weights: new Float32Array(144),
  bias: new Float32Array(4),
  ...more,
});

test('maps that are read at the same time never share their place; one that nothing reads any more gives it up', () => {
  const layers: Layer[] = [
    layer('picture', 'a'),
    layer('a', 'b', { stride: 2 }),
    layer('b', 'c'),
    { kind: 'doubling', from: 'c', to: 'd', channels: 4, cut: false, added: 'a' },
    layer('d', 'e'),
  ];
  const { maps, end } = placeMaps(layers, { name: 'picture', rows: 8, width: 8, channels: 3 }, 100);
  expect(maps.get('b')).toMatchObject({ rows: 4, width: 4 });
  expect(maps.get('d')).toMatchObject({ rows: 8, width: 8 });
  const spans = (name: string): [number, number] => {
    const own = maps.get(name)!;
    return [own.at, own.at + (own.rows + 2) * pitchOf(own)];
  };
  const apart = (a: string, b: string) => spans(a)[1] <= spans(b)[0] || spans(b)[1] <= spans(a)[0];
  for (const [a, b] of [
    ['picture', 'a'],
    ['a', 'b'],
    ['b', 'c'],
    ['a', 'c'],
    ['a', 'd'],
    ['c', 'd'],
    ['d', 'e'],
  ] as const)
    expect(apart(a, b), `${a} and ${b}`).toBe(true);
  expect(spans('b')[0]).toBe(100);
  expect(end).toBe(Math.max(...[...maps.keys()].map((name) => spans(name)[1])));
});

test('layers alike but for names and values share their code, others do not', () => {
  expect(likenessOf(layer('a', 'b'))).toBe(likenessOf(layer('x', 'y', { bias: Float32Array.of(1, 2, 3, 4) })));
  expect(likenessOf(layer('a', 'b'))).not.toBe(likenessOf(layer('a', 'b', { added: 'c' })));
  expect(likenessOf(layer('a', 'b', { added: 'c' }))).toBe(likenessOf(layer('a', 'b', { added: 'd' })));
});

test('weights are laid out as the code reads them: by eights of the result, then tap, then channel', () => {
  const weights = Float32Array.from({ length: 11 * 2 * 9 }, (_, i) => i);
  const bias = Float32Array.from({ length: 11 }, (_, i) => i + 1);
  const dense = constantsOf(layer('a', 'b', { channels: 11, channelsIn: 2, weights, bias }));
  expect(Array.from(dense.bias)).toEqual([...bias, 0]);
  const inEight = (out: number, tap: number, c: number) => dense.weights[8 * (4 * tap + c) + out];
  const inRest = (out: number, tap: number, c: number) => dense.weights[8 * 4 * 9 + 4 * (4 * tap + c) + (out - 8)];
  for (const [at, out, tap, c] of [
    [inEight, 0, 0, 0],
    [inEight, 4, 8, 1],
    [inEight, 3, 5, 0],
    [inRest, 8, 0, 1],
    [inRest, 10, 8, 1],
  ] as const)
    expect(at(out, tap, c)).toBe((out * 2 + c) * 9 + tap);
  const fiveOfThem = weights.slice(0, 5 * 9);
  const depthwise = constantsOf(
    layer('a', 'b', { kind: 'depthwise', channels: 5, weights: fiveOfThem, bias: new Float32Array(5) }),
  );
  expect(depthwise.weights[3 * 8 + 4]).toBe(4 * 9 + 3);
  expect(constantsOf({ kind: 'doubling', from: 'a', to: 'b', channels: 4, cut: false }).weights.length).toBe(0);
});
