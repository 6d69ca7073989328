import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { describe, expect, test } from 'vitest';
import { shownList } from '../../src/app/words/spoken_list.ts';
import { echoed, faultOf, foreign, mostEchoed } from '../fuzz/echoes.ts';

const folder = fileURLToPath(new URL('../../src/app/words', import.meta.url));
const tables = await Promise.all(
  readdirSync(folder)
    .filter((file) => file.endsWith('_words.ts'))
    .map(async (file) => Object.entries((await import(pathToFileURL(join(folder, file)).href)) as object)),
);

type Says = (...given: unknown[]) => unknown;

/** Every sentence of the tables that is made from something, by its name. */
function sentences(words: unknown, name: string): { name: string; says: Says }[] {
  if (typeof words === 'function') return [{ name, says: words as Says }];
  if (typeof words !== 'object' || words === null) return [];
  return Object.entries(words).flatMap(([key, held]) => sentences(held, `${name}.${key}`));
}

/** The names of what a sentence is made from. */
function givenTo(says: Says): string[] {
  const text = String(says);
  const open = text.indexOf('(');
  let depth = 0;
  let close = open;
  do {
    if ('([{'.includes(text[close]!)) depth++;
    if (')]}'.includes(text[close]!)) depth--;
    close++;
  } while (depth > 0);
  const names = text.slice(open + 1, close - 1).split(/,(?![^[]*\])/u);
  return names.map((name) => name.split('=')[0]!.trim()).filter(Boolean);
}

const long = foreign(190);
const many = [long, foreign(150, '-'), long, foreign(5000, ''), long];

/** What a person or a file chose: as long as one likes. */
const chosen: Record<string, unknown> = {
  ...Object.fromEntries(
    ['name', 'file', 'id', 'title', 'one', 'other', 'label', 'note', 'after', 'written'].map((text) => [text, long]),
  ),
  ...Object.fromEntries(['names', 'ids', 'guides'].map((list) => [list, many])),
  // a sentence already: it echoes no more than a sentence may
  ...Object.fromEntries(['message', 'why'].map((sentence) => [sentence, foreign(mostEchoed)])),
};

/** What the app itself makes, measures or counts. */
const ours: Record<string, unknown> = {
  ...Object.fromEntries(
    ['at', 'butt', 'corner', 'diameter', 'doubt', 'down', 'exponent', 'factor', 'feet', 'finish', 'from', 'gap']
      .concat(['growth', 'height', 'inches', 'kind', 'least', 'length', 'metres', 'most', 'needs', 'newtons', 'paper'])
      .concat(['reading', 'rod', 'size', 'stage', 'stations', 'step', 'stretch', 'stretches', 'tilt', 'time'])
      .concat([
        'tip',
        'to',
        'toward',
        'turn',
        'up',
        'what',
        'when',
        'where',
        'worst',
        'wraps',
        'about',
        'along',
        'angle',
      ])
      .map((text) => [text, 'so']),
  ),
  ...Object.fromEntries(
    ['all', 'count', 'degrees', 'done', 'found', 'inPhotos', 'left', 'line', 'mm', 'number', 'of', 'over', 'own']
      .concat([
        'percent',
        'photos',
        'piece',
        'places',
        'planned',
        'residual',
        'rods',
        'roll',
        'side',
        'tags',
        'tile',
        'tiles',
      ])
      .concat(['times', 'tolerance', 'width', 'measured'])
      .map((number) => [number, 3]),
  ),
  ...Object.fromEntries(['clockwise', 'metric', 'off', 'seen', 'towardButt'].map((is) => [is, true])),
  ...Object.fromEntries(['fields', 'open', 'parts', 'signs', 'turns'].map((list) => [list, ['so', 'so']])),
  // a spoken ring begins with its own name, cut short where it is made
  rings: ['so', 'so'],
  pages: [3, 4],
  '[x, y]': [3, 4],
  reference: 'guides',
  datum: 'blank-tip',
  field: 'rowAlong',
  end: 'tip',
  tipSide: 'tip',
  buttSide: 'butt',
  guide: { type: 'snake', length: 3 },
  millimetres: String,
};

const all = tables.flatMap((words) => words.flatMap(([name, table]) => sentences(table, name)));
/** They make the title of a build, not a sentence about one. */
const titles = all.filter(({ name }) => name.endsWith('.copyTitle'));

describe('the app’s own words', () => {
  test('are all made from what is known to be chosen by others or to be ours', () => {
    expect(all.length).toBeGreaterThan(150);
    const unknown = all.flatMap(({ name, says }) =>
      givenTo(says).flatMap((given) => (given in chosen || given in ours ? [] : [`${name}(${given})`])),
    );
    expect(unknown).toEqual([]);
  });

  test('echo at most 80 characters of names, titles and reasons, on one line', () => {
    const faults = all
      .filter((sentence) => !titles.includes(sentence))
      .flatMap(({ name, says }) => {
        const said = String(says(...givenTo(says).map((given) => chosen[given] ?? ours[given])));
        const fault = faultOf(said);
        return fault ? [`${name} ${fault}: ${said}`] : [];
      });
    expect(faults).toEqual([]);
  });

  test('say a short name in full', () => {
    const short = { name: 'щж', file: 'щж', id: 'щж', title: 'щж', label: 'щж', note: 'щж' } as Record<string, unknown>;
    const named = all.filter(({ says }) => givenTo(says).some((given) => given in short));
    expect(named.length).toBeGreaterThan(40);
    for (const { name, says } of named)
      expect(String(says(...givenTo(says).map((given) => short[given] ?? ours[given] ?? 'so'))), name).toContain('щж');
  });

  test('title a copy so that it can be kept and opened again', () => {
    expect(titles).toHaveLength(2);
    for (const { says } of titles) {
      const title = foreign(200);
      expect(String(says(title)).length).toBeLessThanOrEqual(200);
      expect(String(says('Fly rod'))).toMatch(/^Fly rod \(.+\)$/);
    }
  });
});

test('a list is said in full where it is short, and cut short and counted where it is not', () => {
  expect(shownList([])).toBe('');
  expect(shownList(['G1'])).toBe('G1');
  expect(shownList(['G1', 'G2', 'G3', 'G4'])).toBe('G1, G2, G3 and G4');
  const said = shownList(many);
  expect(said).toMatch(/^щ.+, щ.+, щ.+ and two more$/u);
  expect(echoed(said)).toBeLessThanOrEqual(mostEchoed);
});
