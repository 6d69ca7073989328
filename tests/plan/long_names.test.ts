import { readFile } from 'node:fs/promises';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { parsePlan } from '../../src/plan/files/plan_file.ts';
import { planFindings } from '../../src/plan/findings/plan_findings.ts';
import { withShownNames } from '../../src/plan/shown_name.ts';
import { withShortNames } from '../../src/verdict/short_names.ts';
import type { Report } from '../../src/verdict/report.ts';
import { echoed, faultOf, foreign, mostEchoed } from '../fuzz/echoes.ts';

const plan = parsePlan(await readFile(new URL('../../fixtures/sample/plan.json', import.meta.url), 'utf8'));
/** Names that differ at their ends alone, as long as files take. */
const name = (i: number) => `${foreign(180)}${'щжфю'[i % 4]!.repeat(1 + i)}`;

test('what a plan is told of names its places in no more than 80 characters of theirs', () => {
  const positions = plan.positions.map((position, i) => ({ ...position, id: name(i) }));
  // out of order, upside down, and all in one place
  const wrong = [
    positions.toReversed(),
    positions.map((position, i) => ({ ...position, at: 100 + i })),
    positions.map((position, i) => ({ ...position, at: 1400 - 90 * i })),
  ];
  const findings = wrong.flatMap((list) => planFindings({ ...plan, positions: list }));
  expect(new Set(findings.map(({ rule }) => rule)).size).toBeGreaterThan(3);
  const faults = findings.flatMap(({ text, cure }) => [text, cure].filter((said) => faultOf(said)));
  expect(faults).toEqual([]);
  // what a finding is about is told in full
  for (const { items } of findings) for (const id of items) expect(positions.map((one) => one.id)).toContain(id);
});

test('a report’s sentences likewise, and its items keep their names', () => {
  const ids = [0, 1, 2].map(name);
  const report = {
    items: ids.map((id) => ({
      id,
      advice: `Slide ${id} 3 mm toward the tip.`,
      cause: `${id} and ${ids[0]} are swapped.`,
    })),
    extras: [],
    notes: [`${ids[0]}, ${ids[1]} and ${ids[2]} are all rolled alike.`],
    tipTop: { advice: `Turn it as ${ids[2]} is.` },
  } as unknown as Report;
  const short = withShortNames(report);
  expect(short.items.map(({ id }) => id)).toEqual(ids);
  const said = [
    ...short.notes,
    short.tipTop!.advice!,
    ...short.items.flatMap(({ advice, cause }) => [advice!, cause!]),
  ];
  expect(said).toHaveLength(8);
  expect(said.filter((sentence) => faultOf(sentence))).toEqual([]);
  expect(short.items[0]!.advice).toMatch(/^Slide щ[^…]*…[^…]* 3 mm toward the tip\.$/u);
});

test('names that a sentence has room for stay as they are, one in another too', () => {
  const sentence = 'G1, G10 and the stripper nearest the reel are swapped.';
  expect(withShownNames(sentence, ['G1', 'G10', 'the stripper nearest the reel'])).toBe(sentence);
  fc.assert(
    fc.property(fc.array(fc.integer({ min: 9, max: 190 }), { minLength: 1, maxLength: 8 }), (lengths) => {
      const names = lengths.map((length, i) => `${foreign(length)}${'щ'.repeat(i)}`);
      const shown = withShownNames(names.join('; '), names);
      expect(echoed(shown)).toBeLessThanOrEqual(mostEchoed);
    }),
  );
});
