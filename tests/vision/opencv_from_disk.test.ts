import { afterEach, expect, test, vi } from 'vitest';
import { openCvFromDisk } from '../../src/vision/opencv_from_disk.ts';

afterEach(() => void vi.unstubAllGlobals());

test('a browser has no disk to take OpenCV from', () => {
  vi.stubGlobal('process', undefined);
  expect(openCvFromDisk()).toBeUndefined();
});

test('a process without Node’s own modules has none either', () => {
  vi.stubGlobal('process', { getBuiltinModule: undefined });
  expect(openCvFromDisk()).toBeUndefined();
});
