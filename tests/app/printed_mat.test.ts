import { afterEach, expect, test, vi } from 'vitest';
import { newBuild } from '../../src/app/files/new_build.ts';
import { printedMat } from '../../src/app/mat/printed_mat.ts';
import type { BuildDocument } from '../../src/store/build.ts';

afterEach(() => vi.unstubAllGlobals());

function document_(length: number, change: Partial<BuildDocument> = {}): BuildDocument {
  const { document } = newBuild({});
  return { ...document, plan: { ...document.plan, blank: { ...document.plan.blank, length } }, ...change };
}
const withSpan = (length: number, toTag: number): BuildDocument => {
  const document = document_(1418);
  return { ...document, shoot: { ...document.shoot, mat: { span: { fromTag: 0, toTag, length } } } };
};

test.each([
  ['en-US', 'Letter'],
  ['fr-CA', 'Letter'],
  ['en-GB', 'A4'],
  ['ja', 'A4'],
])('a builder who reads %s is offered %s', (language, paper) => {
  vi.stubGlobal('navigator', { language });
  expect(printedMat(document_(1418)).paper).toBe(paper);
});

test('as many tiles as the blank needs', () => {
  vi.stubGlobal('navigator', { language: 'de' });
  expect(printedMat(document_(0)).tiles).toBe(1);
  expect(printedMat(document_(267)).tiles).toBe(1);
  expect(printedMat(document_(268)).tiles).toBe(2);
  expect(printedMat(document_(1418)).tiles).toBe(5);
});

test('a span that was measured tells the paper, and tiles reach as far as it does', () => {
  vi.stubGlobal('navigator', { language: 'en-US' });
  expect(printedMat(withSpan(1414, 44))).toEqual({ paper: 'A4', tiles: 5 });
  expect(printedMat(withSpan(1343.5, 44))).toEqual({ paper: 'Letter', tiles: 6 });
  expect(printedMat(withSpan(1715, 54))).toEqual({ paper: 'A4', tiles: 6 });
});

test('what the builder said stands', () => {
  vi.stubGlobal('navigator', { language: 'en-US' });
  expect(printedMat(document_(1418, { printed: { paper: 'A4', tiles: 7 } }))).toEqual({ paper: 'A4', tiles: 7 });
});
