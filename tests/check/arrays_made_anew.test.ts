import { setFlagsFromString } from 'node:v8';
import { runInThisContext } from 'node:vm';
import { expect, test } from 'vitest';
import { arraysMadeAnew } from '../../src/check/arrays_made_anew.ts';

const axis = [
  [0, 0, 1.5],
  [1, 0, 2.5],
];
const sent = { axis, again: axis, seen: [undefined, { cells: new Float32Array([0.25, 0.5]), at: [] }], name: 'G1' };

test('what came in a message is the same when its arrays are made anew, and what stands in it twice is one', () => {
  const { axis: made, again, ...rest } = arraysMadeAnew(structuredClone(sent)) as typeof sent;
  expect({ axis: made, again, ...rest }).toEqual(sent);
  expect(again).toBe(made);
});

test('numbers out of a message lie in one piece of memory once they are made anew', () => {
  setFlagsFromString('--allow-natives-syntax');
  const isInOnePiece = runInThisContext('(array) => %HasDoubleElements(array)') as (array: unknown) => boolean;
  const came = structuredClone(sent);
  expect(came.axis.some(isInOnePiece)).toBe(false);
  expect((arraysMadeAnew(came) as typeof sent).axis.every(isInOnePiece)).toBe(true);
});
