import { afterEach, expect, test, vi } from 'vitest';
import { loadOpenCv } from '../../src/vision/opencv.ts';
import { openCvFromDisk } from '../../src/vision/opencv_from_disk.ts';
import { openCvParts } from '../../src/vision/opencv_parts.ts';
import { openCv } from './open_cv.ts';

afterEach(() => void vi.unstubAllGlobals());

test('a browser has no disk to take OpenCV from', () => {
  vi.stubGlobal('process', undefined);
  expect(openCvFromDisk()).toBeUndefined();
});

test('a process without Node’s own modules has none either', () => {
  vi.stubGlobal('process', { getBuiltinModule: undefined });
  expect(openCvFromDisk()).toBeUndefined();
});

test('OpenCV hears nothing of the whole process', async () => {
  const heard = () => ['uncaughtException', 'unhandledRejection'].map((event) => process.listenerCount(event));
  const before = heard();
  await loadOpenCv();
  expect(heard()).toEqual(before);
});

test('of a file that keeps its WebAssembly in some other way it is said where to look', () => {
  for (const text of [
    '',
    'var wasmBinary;var wasmBinaryFile="opencv.wasm";',
    'wasmBinaryFile="data:application/octet-stream;base64,AGFzbQ==";',
  ])
    expect(() => openCvParts(Buffer.from(text))).toThrow('src/vision/opencv_parts.ts');
});

test('the WebAssembly goes out of the script, byte for byte', () => {
  const { script, wasm } = openCvParts(
    Buffer.from(
      'var wasmBinary;if(Module.wasmBinary){}var wasmBinaryFile="data:application/octet-stream;base64,AGFzbQE=";go()',
    ),
  );
  expect([...wasm]).toEqual([0, 97, 115, 109, 1]);
  expect(script).not.toContain('AGFzbQE');
  expect(script).toMatch(/^Module\["instantiateWasm"\]=instantiateWasm;var wasmBinary;.*;go\(\)$/);
});

test('of all that OpenCV has only what is called is taken in', async () => {
  const taken = Object.keys((await loadOpenCv()).cv);
  const whole = Object.keys((await openCv()).cv);
  for (const name of ['aruco_ArucoDetector', 'getPredefinedDictionary', 'DICT_APRILTAG_36h11', 'DICT_6X6_1000'])
    expect(taken).toContain(name);
  for (const name of ['GaussianBlur', 'KeyPointVector', 'COLOR_RGBA2GRAY']) {
    expect(whole).toContain(name);
    expect(taken).not.toContain(name);
  }
  expect(taken.filter((name) => !whole.includes(name))).toEqual([]);
});
