import { describe, expect, test } from 'vitest';
import { type KeptMat, readingsOf, readKeptLens, readKeptMat, renamed } from '../../src/store/kept_profile.ts';
import { readGuide, readRevision } from '../../src/store/kept_schema.ts';

const readings = { rowAlong: 224.1, span: { fromTag: 0, toTag: 24, length: 1180 } };
const mat: KeptMat = {
  id: 'bench',
  name: 'The long bench',
  photos: 6,
  pages: [1, 2],
  text: JSON.stringify({ schema: 'prewrap.mat/1', name: 'The long bench', readings }),
};
const lens = { camera: 'A phone', name: 'Mine', photos: 12, corner: 0.08, text: '{}' };

describe('what was kept of mats and lenses', () => {
  test('is taken as it was kept, and not where a field is of another kind', () => {
    expect(readKeptMat(mat)).toEqual(mat);
    expect(readKeptLens(lens)).toEqual(lens);
    for (const spoilt of [null, 'mat', { ...mat, pages: [] }, { ...mat, pages: [0] }, { ...mat, text: 7 }])
      expect(readKeptMat(spoilt)).toBeUndefined();
    for (const spoilt of [undefined, { ...lens, photos: 0 }, { ...lens, corner: 'fine' }, { ...lens, name: '' }])
      expect(readKeptLens(spoilt)).toBeUndefined();
  });

  test('a mat’s readings come out of its file, and none of a file that is spoilt', () => {
    expect(readingsOf(mat)).toEqual(readings);
    for (const text of [
      '',
      '{',
      '[]',
      'null',
      '{"readings":{"rowAlong":"wide"}}',
      '{"readings":{"span":{"length":1}}}',
    ])
      expect(readingsOf({ ...mat, text })).toEqual({});
  });

  test('another name is written into the file too; a spoilt one stays as it is, for a check to say so', () => {
    const named = renamed(mat, 'The short bench');
    expect(named.name).toBe('The short bench');
    expect(JSON.parse(named.text)).toEqual({ schema: 'prewrap.mat/1', name: 'The short bench', readings });
    expect(renamed({ ...mat, text: '{"name":' }, 'Another')).toEqual({ ...mat, name: 'Another', text: '{"name":' });
  });
});

test('a guide shape out of the store has a shape; a build’s count of writes is a number, or nobody knows it', () => {
  const guide = { ringOuter: 8, ringInner: 5.6, height: 9, lean: 0, foot: 'single' };
  expect(readGuide({ name: 'Mine', guide })).toEqual({ name: 'Mine', guide });
  for (const spoilt of [{ name: 'Mine' }, { name: 'Mine', guide: { ...guide, ringOuter: 'wide' } }, { guide }])
    expect(readGuide(spoilt)).toBeUndefined();
  expect(readRevision({ revision: 3, id: 'a' })).toBe(3);
  for (const spoilt of [undefined, 'build', {}, { revision: '3' }, { revision: 1.5 }])
    expect(readRevision(spoilt)).toBeUndefined();
});
