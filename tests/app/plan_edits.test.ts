import { ringOf } from '../../src/plan/plan.ts';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { newBuild } from '../../src/app/files/new_build.ts';
import {
  addPlace,
  arrange,
  fillPlaces,
  freeName,
  kindOfLabel,
  rowField,
  setLengths,
  sortRows,
  unreadFields,
  withWritten,
} from '../../src/app/edits/plan_edits.ts';
import { lengthInField, readLengthField, readNumberField, shownInField } from '../../src/app/edits/plan_reading.ts';
import { plainGuide } from '../../src/plan/layouts/starting_guides.ts';
import type { BuildDocument } from '../../src/store/build.ts';

const empty = (): BuildDocument => newBuild({ id: 'b' }).document;
const guides = (...at: number[]): BuildDocument =>
  at.reduce((document, mm, k) => addPlace(document, { id: `G${k + 1}`, kind: 'guide', at: mm }, plainGuide), empty());
const places = ({ plan }: BuildDocument) => plan.positions.map(({ id, at }) => [id, at]);

describe('the list of places', () => {
  test('puts a new place where it belongs, and a guide takes the shape of its neighbour toward the tip', () => {
    let document = guides(100, 300);
    const large = { ...plainGuide, ringOuter: 16, ringInner: 11 };
    document = arrange(document, [0, { ...document.plan.positions[1]!, guide: large }]);
    const between = addPlace(document, { id: 'X', kind: 'guide', at: 200 }, plainGuide);
    const beyond = addPlace(document, { id: 'Y', kind: 'guide', at: 400 }, plainGuide);
    expect(places(between)).toEqual([
      ['G1', 100],
      ['X', 200],
      ['G2', 300],
    ]);
    expect(between.plan.positions[1]!.guide).toEqual(plainGuide);
    expect(beyond.plan.positions[2]!.guide).toEqual(large);
  });

  test('carries what stands typed in a row along with the row, whatever is taken out or put in order', () => {
    fc.assert(
      fc.property(
        fc.uniqueArray(fc.integer({ min: 1, max: 5000 }), { minLength: 2, maxLength: 8 }),
        fc.nat(),
        (at, n) => {
          const positions = at.map((mm, k) => ({ id: `P${k}`, kind: 'guide' as const, at: mm, guide: plainGuide }));
          let document = arrange(empty(), positions);
          for (const [row, { id }] of positions.entries())
            document = withWritten(document, rowField(row, 'at'), { text: `text of ${id}` });
          const kept = [...positions.keys()].filter((row) => row !== n % positions.length);
          const next = sortRows(arrange(document, kept));
          expect(next.plan.positions.map((p) => p.at)).toEqual(kept.map((row) => at[row]!).toSorted((a, b) => a - b));
          for (const [row, { id }] of next.plan.positions.entries())
            expect(next.written?.[rowField(row, 'at')]?.text).toBe(`text of ${id}`);
          expect(Object.keys(next.written ?? {})).toHaveLength(kept.length);
        },
      ),
    );
  });

  test('takes found places over: guides keep shapes and names in order, other kinds stay', () => {
    let document = addPlace(guides(100, 300), { id: 'K', kind: 'hook-keeper', at: 1100 }, plainGuide);
    const large = { ...plainGuide, ringOuter: 16, ringInner: 11 };
    document = arrange(document, [0, { ...document.plan.positions[1]!, id: 'stripper', guide: large }, 2]);
    const filled = fillPlaces(document, [{ at: 500 }, { at: 90 }, { at: 250 }], plainGuide);
    expect(places(filled)).toEqual([
      ['G1', 90],
      ['stripper', 250],
      ['G3', 500],
      ['K', 1100],
    ]);
    expect(filled.plan.positions.map((p) => ringOf(p.guide)?.ringOuter)).toEqual([
      plainGuide.ringOuter,
      16,
      16,
      undefined,
    ]);
    const named = fillPlaces(
      document,
      [
        { at: 80, id: 'T', kind: 'tip-wrap' },
        { at: 90, id: 'K' },
      ],
      plainGuide,
    );
    expect(named.plan.positions.map(({ id }) => id)).toEqual(['T', 'K']);
  });

  test('finds a name no place has', () => {
    expect(freeName(guides(1, 2).plan.positions, 'guide')).toBe('G3');
    const gap = guides(1, 2, 3).plan.positions.slice(1);
    expect(freeName(gap, 'guide')).toBe('G4');
    expect(freeName([], 'hook-keeper')).toBe('K');
    expect(freeName([{ id: 'K', kind: 'hook-keeper', at: 1 }], 'hook-keeper')).toBe('K2');
  });

  test('knows what a label in a list means', () => {
    expect(['Hook keeper', 'K', 'tip wrap', 'tip-top', 'T', 'ferrule', 'G3', undefined].map(kindOfLabel)).toEqual([
      'hook-keeper',
      'hook-keeper',
      'tip-wrap',
      'tip-wrap',
      'tip-wrap',
      'ferrule-wrap',
      'guide',
      'guide',
    ]);
  });
});

test('only fields of the plan itself count as unread, and only while nothing was read from them', () => {
  let document = withWritten(empty(), 'plan.blank.length', { text: '1x' });
  document = withWritten(document, 'paste.text', { text: '1x' });
  document = withWritten(document, 'plan.section', { text: '5', value: 5 });
  expect(unreadFields(document)).toEqual(['plan.blank.length']);
  expect(unreadFields(withWritten(document, 'plan.blank.length', undefined))).toEqual([]);
});

describe('a field', () => {
  const limits = { least: 1, most: 5000 };
  const shown = (text: string, value: number | undefined, mm: number | undefined, display: 'mm' | 'in-fraction') =>
    shownInField(
      { text, ...(value !== undefined && { value }) },
      mm,
      (typed) => readLengthField(typed, display, limits),
      (length) => lengthInField(length, display),
    );

  test('shows what was typed while it says the value, and the value once it does not', () => {
    expect(shown('5-3/8', 136.525, 136.525, 'in-fraction')).toEqual({ text: '5-3/8' });
    expect(shown('5-3/8', 136.525, 100, 'in-fraction')).toEqual({ text: '3.937' });
    expect(shown('5-3/8', 136.525, 136.525, 'mm')).toEqual({ text: '136.525' });
    expect(shown('5 in', 127, 127, 'mm')).toEqual({ text: '5 in' });
  });

  test('shows what can’t be read with one sentence, never a value that is not meant', () => {
    expect(shown('5 3/18', undefined, 127, 'in-fraction')).toEqual({
      text: '5 3/18',
      why: '"5 3/18" has a fraction no rule carries.',
    });
    // the unit changed since: it could be read now, but what was meant is not known
    expect(shown('9000', undefined, 127, 'mm').why).toMatch(/^It should be 1\.0 mm to 5000\.0 mm/);
    expect(shown('12', undefined, 127, 'mm').why).toBe('The unit changed: type this again.');
  });

  test('a value put into a field is read back as itself, in every unit', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 5000, noNaN: true }),
        fc.constantFrom('mm' as const, 'in' as const, 'in-fraction' as const),
        (mm, display) => {
          const reading = readLengthField(lengthInField(mm, display), display, { least: 0, most: 6000 });
          expect(reading.ok && Math.abs(reading.value! - mm)).toBeLessThan(0.03);
        },
      ),
    );
  });

  test('numbers take a decimal comma, counts are whole', () => {
    expect(readNumberField('2,5', { least: 0, most: 10 })).toEqual({ ok: true, value: 2.5 });
    expect(readNumberField('2,5', { least: 0, most: 10 }, true).ok).toBe(false);
    expect(readNumberField('', { least: 0, most: 10, optional: true })).toEqual({ ok: true });
    expect(readNumberField('', { least: 0, most: 10 }).ok).toBe(false);
  });
});

test('the unit of the day is the plan’s own as well', () => {
  expect(setLengths('in-fraction')(empty())).toMatchObject({ lengths: 'in-fraction', plan: { unit: 'in' } });
  expect(setLengths('mm')(empty())).toMatchObject({ lengths: 'mm', plan: { unit: 'mm' } });
});
