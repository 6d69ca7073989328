import fc from 'fast-check';
import { expect, test } from 'vitest';
import { settling } from '../../src/verdict/advice.ts';
import type { ReportItem } from '../../src/verdict/report.ts';
import { sharedAdvice } from '../../src/verdict/shared_advice.ts';

const item = (id: string, more: Partial<ReportItem> = {}): ReportItem => ({
  id,
  kind: 'guide',
  planned: 100,
  found: true,
  alongVerdict: 'unsure',
  ...more,
});
const lost = (id: string, sighting: 'not-made-out' | 'in-no-photo', advice: string) =>
  item(id, { found: false, sighting, advice });

test('what would settle several places is said once, with their names, at the first of them', () => {
  const said = sharedAdvice([
    item('G1', { advice: settling.scale(['G1']) }),
    item('G2', { advice: settling.tilted(['G2']) }),
    item('G3', { advice: settling.scale(['G3']) }),
    item('G4', { advice: 'G4 is at the very limit: slide it 1.4 mm toward the tip to be sure.' }),
    item('G5', { advice: settling.scale(['G5']) }),
  ]);
  expect(said.map(({ sentence }) => sentence)).toEqual([
    'Measure the row of squares and the span again, by the tape that laid off the marks: the scale leaves G1, G3 and G5 unsettled.',
    'One more photo, over G2, tilted toward you.',
    'G4 is at the very limit: slide it 1.4 mm toward the tip to be sure.',
  ]);
  expect(said[0]?.items.map(({ id }) => id)).toEqual(['G1', 'G3', 'G5']);
});

test('several that were not made out, or that no photo shows, keep their ways out', () => {
  const unclear = (id: string) =>
    lost(
      id,
      'not-made-out',
      `The photos show 314 mm, but I cannot make out the guide ${id}: point it out, or one closer photo.`,
    );
  expect(sharedAdvice([unclear('G3')])[0]?.sentence).toBe(unclear('G3').advice);
  expect(sharedAdvice([unclear('G3'), unclear('G5')]).map(({ sentence }) => sentence)).toEqual([
    'I cannot make out G3 and G5, though the photos show their places: point them out, or one closer photo of each.',
  ]);
  const snake = lost(
    'S1',
    'not-made-out',
    'The photos show 9 mm, but I cannot make out the guide S1: one closer photo.',
  );
  expect(sharedAdvice([unclear('G3'), snake])).toHaveLength(2);
  const covered = (id: string) => ({ ...unclear(id), coveredIn: ['1.jpg'] });
  expect(sharedAdvice([covered('G3'), unclear('G4'), covered('G5')])[0]?.sentence).toBe(
    'Something lies over the places of G3 and G5 in every photo of them, a hand or a tool perhaps: take it away, and one more photo there.',
  );
  const away = (id: string) => lost(id, 'in-no-photo', `No photo shows ${id}: one more photo, over 9 mm.`);
  expect(sharedAdvice([away('G1'), away('G2')])[0]?.sentence).toBe(
    'No photo shows G1 and G2: one more photo over each.',
  );
});

test('no place is lost, none is said twice, and the order is that of the rod', () => {
  const advices = fc.constantFrom(
    undefined,
    'Swap the guides at G1 and G2.',
    ...Object.keys(settling).map((kind) => kind as keyof typeof settling),
  );
  fc.assert(
    fc.property(fc.array(advices, { maxLength: 12 }), (kinds) => {
      const items = kinds.map((kind, i) => {
        const say = settling[kind as keyof typeof settling];
        const advice = say ? say([`P${i}`]) : kind;
        return item(`P${i}`, advice === undefined ? {} : { advice });
      });
      const said = sharedAdvice(items);
      expect(new Set(said.flatMap((one) => one.items))).toEqual(new Set(items));
      expect(said.flatMap((one) => one.items)).toHaveLength(items.length);
      const sentences = said.flatMap(({ sentence }) => sentence ?? []);
      expect(new Set(sentences).size).toBe(sentences.length);
      const firsts = said.map((one) => items.indexOf(one.items[0]!));
      expect(firsts).toEqual(firsts.toSorted((a, b) => a - b));
      for (const { items: of, sentence } of said)
        for (const { id, advice } of of) if (advice?.includes(id)) expect(sentence).toMatch(new RegExp(`\\b${id}\\b`));
    }),
  );
});
