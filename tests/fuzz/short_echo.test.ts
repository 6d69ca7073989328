import { describe, expect, test } from 'vitest';
import { layOut } from '../../src/plan/layouts/layout.ts';
import { parseLayout } from '../../src/plan/layouts/layout_file.ts';
import { encodeText, packBuild } from '../../src/store/archive.ts';
import { echoed, faultOf, foreign, mostEchoed, refusalOf, renamedAndMoved, withForeign } from './echoes.ts';
import { targets } from './hostile_cases.ts';

const all = await targets();
const ofJson = all.filter(({ samples }) => samples[0]![0] === 0x7b);
const asJson = (bytes: Uint8Array) => JSON.parse(new TextDecoder().decode(bytes)) as never;
const asText = (value: unknown) => encodeText(JSON.stringify(value));
const long = [foreign(190), foreign(5000, '')];

/** The faults of the messages that these reads end with, each once, and how many ended with one. */
function faultsOf(reads: Iterable<() => unknown>): { faults: string[]; refused: number } {
  const faults = new Set<string>();
  let refused = 0;
  for (const read of reads) {
    const message = refusalOf(read);
    if (message === undefined) continue;
    refused++;
    const fault = faultOf(message);
    if (fault) faults.add(`${fault}: ${message}`);
  }
  return { faults: [...faults], refused };
}

test('what is foreign in a message is counted, gaps and all', () => {
  expect(echoed('plan.json, id: is too long')).toBe(0);
  expect(echoed(`The photo ${foreign(120)} is none.`)).toBe(120);
  expect(echoed(`"${foreign(30, '-')}" and "${foreign(30, '')}"`)).toBe(60);
  expect(faultOf(`The photo ${foreign(mostEchoed + 1)} is none.`)).toMatch(/echoes 81/);
  expect(faultOf('Invalid input: expected string, received number')).toMatch(/not ours/);
});

describe('no message holds more than 80 characters of what was handed over', () => {
  test.each(ofJson)('$name: a value in it, or a name', ({ samples, read }) => {
    const { faults, refused } = faultsOf(
      samples.flatMap((sample) =>
        long.flatMap((text) =>
          [...withForeign(asJson(sample), text)].map((changed) => () => read(asText(changed), foreign(190))),
        ),
      ),
    );
    expect(faults).toEqual([]);
    expect(refused).toBeGreaterThan(20);
  });

  test.each(ofJson)('$name: long names throughout, and a number of it wrong', ({ samples, read }) => {
    const names = [(before: string) => `${before}${foreign(180)}`, () => foreign(190)];
    const { faults } = faultsOf(
      samples.flatMap((sample) =>
        names.flatMap((name) =>
          [...renamedAndMoved(asJson(sample), name)].map((changed) => () => read(asText(changed), foreign(190, ''))),
        ),
      ),
    );
    expect(faults).toEqual([]);
  });

  test('a file of any kind by its name, cut off or of another kind', () => {
    const { faults, refused } = faultsOf(
      all.flatMap(({ samples, read }) =>
        samples.flatMap((sample) =>
          [new Uint8Array(), sample.subarray(0, sample.length >> 1), encodeText(foreign(400))].flatMap((bytes) =>
            [foreign(190), foreign(250, '')].map((name) => () => read(bytes, name)),
          ),
        ),
      ),
    );
    expect(faults).toEqual([]);
    expect(refused).toBeGreaterThan(20);
  });

  test('a zip whose shoot names a photo that is not in it, or that holds no plan', () => {
    const zips = all.find(({ name }) => name === 'zip')!;
    const [plan, shoot] = ['plan', 'shoot'].map((kind) => all.find(({ name }) => name === kind)!.samples[0]!);
    const pack = (files: [string, Uint8Array][]) => packBuild(new Map(files), new Date(2026, 10, 20));
    const lost = asText({ ...(asJson(shoot!) as object), photos: [`${foreign(180)}.jpg`], byHand: undefined });
    const folder = foreign(120);
    const { faults, refused } = faultsOf(
      [
        pack([
          ['plan.json', plan!],
          ['shoot.json', lost],
        ]),
        pack([
          [`${folder}/plan.json`, plan!],
          [`${folder}/shoot.json`, lost],
        ]),
        pack([[`${folder}.txt`, plan!]]),
      ].map((bytes) => () => zips.read(bytes, `${foreign(190)}.zip`)),
    );
    expect(faults).toEqual([]);
    expect(refused).toBe(3);
  });

  test('a pasted list', () => {
    const spec = asJson(all.find(({ name }) => name === 'layout')!.samples[0]!) as object;
    const name = foreign(150);
    const lists = [
      name,
      `${name}: 100\n${name}: 1/0`,
      `100 ${name} 200\n300`,
      `${name}\t12 3/7`,
      `Guide,Distance\n${name},${name}`,
      `${name} 5.5\n${name} 6,5\n1.200,5 ${name}`,
      `12 from the butt ${name}\n13 from the tip ${name}`,
      `${name} 3 4 5\n${name} 6 7 8`,
      `5 ${name} 3/8\n"${name}",12"`,
    ];
    const { faults, refused } = faultsOf(
      lists.map((text) => () => layOut(parseLayout(JSON.stringify({ ...spec, layout: { kind: 'entered', text } })))),
    );
    expect(faults).toEqual([]);
    expect(refused).toBeGreaterThan(5);
  });
});
