import { expect, test } from 'vitest';
import { stretchesShown } from '../../src/app/ribbon/ribbon_so_far.ts';
import type { ShownEvidence } from '../../src/store/build.ts';

const shown = (...covers: ({ from: number; to: number } | undefined)[]) =>
  stretchesShown({
    photos: covers.map((own) => ({ ...(own && { covers: own }) })),
    ribbon: { from: -12 },
  } as unknown as ShownEvidence);

test('what photos show of the rod so far is joined, and is no more than they show', () => {
  expect(shown({ from: 600, to: 800 }, undefined, { from: 90, to: 300 }, { from: 250, to: 480 })).toEqual([
    { from: 90, to: 480 },
    { from: 600, to: 800 },
  ]);
  expect(shown(undefined)).toEqual([]);
});

test('where the tip shows, the paper beyond it does as well', () => {
  expect(shown({ from: 3, to: 300 })).toEqual([{ from: -12, to: 300 }]);
});
