import { expect, test } from 'vitest';
import fc from 'fast-check';
import * as wasm from '../../../src/vision/network/wasm_code.ts';

/** The first function of a module, with a memory of one page that holds 0, 1, 2 and so on as floats. */
function run(body: wasm.Code, locals: { parameters: number; wholes?: number; vectors?: number }) {
  const memory = new WebAssembly.Memory({ initial: 1 });
  const floats = new Float32Array(memory.buffer);
  floats.forEach((_, i) => (floats[i] = i));
  const module = new WebAssembly.Module(wasm.wasmModule([{ wholes: 0, vectors: 0, ...locals, body }]));
  const { exports } = new WebAssembly.Instance(module, { on: { memory } });
  return { floats, call: exports['0'] as (...numbers: number[]) => void };
}

test('whole numbers of every size are written so that the machine reads them again', () => {
  fc.assert(
    fc.property(fc.integer({ min: -15_000, max: 15_000 }), (by) => {
      const { floats, call } = run(
        [wasm.advance(0, 4 * by), [wasm.whole(0), wasm.get(0), wasm.load(0), wasm.store(0)]],
        { parameters: 1 },
      );
      const from = 4 * Math.max(0, -by) + 16;
      call(from);
      expect(floats[0]).toBe(from / 4 + by);
    }),
    { numRuns: 60 },
  );
});

test('vectors are added, multiplied and compared number by number', () => {
  const four = (distance: number): wasm.Code => [wasm.whole(0), wasm.load(distance)];
  const { floats, call } = run(
    [
      [wasm.whole(64), four(16), four(32), wasm.multiply, four(16), wasm.add, wasm.store(0)],
      [wasm.whole(64), wasm.whole(0), wasm.loadAlike(28), four(16), wasm.larger, wasm.store(16)],
      [wasm.whole(64), wasm.zeros, wasm.store(32)],
    ],
    { parameters: 0 },
  );
  call();
  expect(Array.from(floats.subarray(16, 28))).toEqual([36, 50, 66, 84, 7, 7, 7, 7, 0, 0, 0, 0]);
});

test('a loop runs as often as it is told, one that asks first perhaps never', () => {
  const sum: wasm.Code = [
    wasm.whole(0),
    wasm.whole(0),
    wasm.load(0),
    wasm.whole(0),
    wasm.loadAlike(64),
    wasm.add,
    wasm.store(0),
  ];
  const counted = run(wasm.repeatWhileAtLeast(0, 3, [sum, wasm.advance(0, -3)]), { parameters: 1 });
  counted.call(2);
  expect(counted.floats[0]).toBe(0);
  counted.call(10);
  expect(counted.floats[0]).toBe(3 * 16);
  const below = run(wasm.repeatWhileBelow(0, 1, [sum, wasm.advance(0, 1)]), { parameters: 2 });
  below.call(5, 5);
  expect(below.floats[0]).toBe(16);
  below.call(0, 4);
  expect(below.floats[0]).toBe(5 * 16);
});
