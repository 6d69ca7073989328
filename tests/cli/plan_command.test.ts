import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { planCommand } from '../../src/cli/plan.ts';
import { parsePlan } from '../../src/plan/files/plan_file.ts';

const small = {
  ringOuter: 6,
  ringInner: 4.3,
  height: 6.5,
  lean: 0,
  foot: 'single',
  footLength: 9,
  reach: 2,
  footToward: 'tip',
};
const spec = {
  schema: 'prewrap.layout/1',
  title: 'A made-up rod',
  unit: 'mm',
  blank: { length: 1418, tipDiameter: 1.7, buttDiameter: 11.4, finish: 'dark' },
  guides: [
    small,
    small,
    { ...small, ringOuter: 8, ringInner: 5.8, height: 10 },
    { ...small, ringOuter: 12, ringInner: 8.7, height: 15 },
    { ...small, ringOuter: 20, ringInner: 14.7, height: 27, foot: 'double', reach: 10 },
  ] as Record<string, unknown>[],
  others: [{ id: 'T', kind: 'tip-wrap', at: 9 }],
  layout: { kind: 'growth', growth: 'geometric', firstGap: 100, last: 948 } as Record<string, unknown>,
};
const bend = {
  kind: 'bend',
  rod: {
    hangTest: {
      grams: 150,
      clampAt: 1150,
      drops: [
        { at: 0, drop: 420 },
        { at: 200, drop: 270 },
        { at: 400, drop: 150 },
        { at: 700, drop: 45 },
      ],
    },
  },
  load: { newtons: 5, pullAngle: 90 },
  side: 'underneath',
  clampAt: 1190,
  reel: { at: 1280, height: 40 },
  first: 100,
};

let folder: string;
let printed: string[];
let complained: string[];
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'plan-command-'));
  printed = [];
  complained = [];
  vi.spyOn(console, 'log').mockImplementation((text: string) => void printed.push(text));
  vi.spyOn(console, 'error').mockImplementation((text: string) => void complained.push(text));
});
afterEach(async () => {
  vi.restoreAllMocks();
  await rm(folder, { recursive: true });
});

async function run(value: unknown, ...options: string[]): Promise<number> {
  const file = join(folder, 'layout.json');
  await writeFile(file, typeof value === 'string' ? value : JSON.stringify(value));
  return planCommand([file, ...options]);
}

describe('plan command', () => {
  it('prints the mark list and cautions, and writes a plan that reads back', async () => {
    const [out, csv] = [join(folder, 'plan.json'), join(folder, 'marks.csv')];
    expect(await run({ ...spec, division: '1 mm' }, '--out', out, '--csv', csv)).toBe(0);
    const plan = parsePlan(await readFile(out, 'utf8'));
    expect(plan.positions.map((position) => position.id)).toEqual(['T', 'G1', 'G2', 'G3', 'G4', 'G5']);
    expect(plan.positions[1]!.at).toBe(100);
    expect(plan.positions[5]!.at).toBe(948);
    expect(plan.positions.every((position) => Number.isInteger(position.at))).toBe(true);
    expect(printed[0]).toContain('948 mm');
    expect(printed[0]).toContain('Product labels and local rules prevail');
    expect(printed[0]).not.toContain('under load may break');
    expect((await readFile(csv, 'utf8')).split('\r\n')).toHaveLength(8);
  });

  it('reads a pasted list with the labels on it', async () => {
    const out = join(folder, 'plan.json');
    const text = 'from the tip\n1) 3 5/8\nG2 7 3/4in\n\n314 mm\n4: 17½\nlast 37 5/16';
    const guides = spec.guides.map((guide) => ({
      ...guide,
      ...Object.fromEntries(
        ['ringOuter', 'ringInner', 'height', 'footLength', 'reach'].map((key) => [key, `${String(guide[key])} mm`]),
      ),
    }));
    const inches = { ...spec, unit: 'in', blank: { ...spec.blank, length: 56, tipDiameter: 0.07, buttDiameter: 0.45 } };
    expect(await run({ ...inches, guides, others: [], layout: { kind: 'entered', text } }, '--out', out)).toBe(0);
    const plan = parsePlan(await readFile(out, 'utf8'));
    expect(plan.positions.map((position) => position.id)).toEqual(['1', 'G2', 'G3', '4', 'last']);
    expect(plan.positions[3]!.at).toBeCloseTo(444.5, 6);
    expect(printed[0]).toContain('line 1: heading "from the tip"');
    expect(printed[0]).toContain('line 3: G2 at 7 3/4 in');
  });

  it('lays out by bend from a hang test, with the caution on loaded rods', async () => {
    const out = join(folder, 'plan.json');
    expect(await run({ ...spec, layout: bend }, '--out', out)).toBe(0);
    expect(printed[0]).toContain('Stiffness from the hang test');
    expect(printed[0]).toMatch(/G3 +line turns +\d+\.\d degrees/);
    expect(printed[0]).toContain('A rod under load may break');
    expect(parsePlan(await readFile(out, 'utf8')).positions[1]!.at).toBe(100);
  });

  it('lists the cone of a spinning reel', async () => {
    const spool = { seatAt: 1280, lipForward: 60, spoolDiameter: 45, lipToBlank: 14, choke: 'G2' };
    expect(await run({ ...spec, spool })).toBe(0);
    expect(printed[0]).toContain('common practice, no source');
    expect(printed[0]).toMatch(
      /Look at: G5 has a bore of 14\.7 mm where the cone of line from the spool is \d+\.\d mm wide/,
    );
    expect(await run({ ...spec, spool: { ...spool, choke: 'G9' } })).toBe(3);
    expect(complained[0]).toContain('"G9", which is no guide of this layout');
  });

  it('says what it found, by how much, and the cure', async () => {
    expect(await run({ ...spec, bag: [{ ringOuter: 6, count: 2 }] })).toBe(1);
    expect(printed[0]).toContain('Put right: The plan has 5 guides, the bag 2.');
  });

  it.each<[string, unknown, string]>([
    ['text that is no JSON', '{"schema":', 'layout.json, line 1, column 11: the file breaks off here'],
    ['another kind of file', { ...spec, schema: 'prewrap.plan/1' }, '"prewrap.layout/1" is needed here'],
    ['no guides', { ...spec, guides: [] }, 'guides: has no guides'],
    ['an unknown layout', { ...spec, layout: { kind: 'eye' } }, 'layout'],
    [
      'a growth without growth',
      { ...spec, layout: { kind: 'growth', growth: 'geometric', firstGap: 100 } },
      'Give two of first gap',
    ],
    [
      'two forces',
      { ...spec, layout: { ...bend, load: { newtons: 5, grams: 500, pullAngle: 90 } } },
      'layout, load: needs its force either',
    ],
    [
      'distances that do not match the guides',
      { ...spec, layout: { kind: 'entered', at: [100, 200] } },
      'There are 2 distances for 5 guides',
    ],
    [
      'a line that cannot be read',
      { ...spec, layout: { kind: 'entered', text: '100\n11/8' } },
      'Line 2 of the list, "11/8"',
    ],
    [
      'a guide off the blank',
      { ...spec, layout: { kind: 'entered', at: [100, 200, 300, 400, 1500] } },
      '"G5", at: 1500.0 mm is off the blank',
    ],
  ])('exits 3 on %s with one line that says which and why', async (_, value, words) => {
    expect(await run(value)).toBe(3);
    expect(complained).toHaveLength(1);
    expect(complained[0]).toContain(words);
    expect(complained[0]!.split('\n')).toHaveLength(1);
    expect(printed).toEqual([]);
  });

  it.each<[string, unknown, string]>([
    ['a name misspelt', { ...spec, divison: '1 mm' }, 'layout.json, divison: is not known here; write "division"'],
    [
      'a name misspelt below',
      { ...spec, layout: { ...spec.layout, fristGap: 3 } },
      'layout, fristGap: is not known here; write "firstGap"',
    ],
    ['a name of no kind', { ...spec, colour: 'red' }, 'colour: is not known here; correct its name or leave it out'],
    [
      'a ratio beside arithmetic growth',
      { ...spec, layout: { kind: 'growth', growth: 'arithmetic', firstGap: 100, last: 900, ratio: 1.1 } },
      '"ratio" has no place beside arithmetic growth',
    ],
    [
      'a hold beyond the blank',
      { ...spec, layout: { ...bend, clampAt: 1500, reel: { at: 1600, height: 40 } } },
      'the hold at 1500.0 mm is off the blank',
    ],
    [
      'a reel beyond the blank',
      { ...spec, layout: { ...bend, reel: { at: 1600, height: 40 } } },
      'the reel at 1600.0 mm is off the blank',
    ],
    [
      'a spool beyond the blank',
      { ...spec, spool: { seatAt: 1500, lipForward: 60, spoolDiameter: 45, lipToBlank: 14, choke: 'G2' } },
      'the reel seat at 1500.0 mm is off the blank',
    ],
    [
      'a fitting beyond the blank',
      { ...spec, fittings: [{ kind: 'grip', from: 1300, to: 1450 }] },
      'the grip that ends at 1450.0 mm is off the blank',
    ],
    ['a title of two lines', { ...spec, title: 'A rod\nG1 guide 100' }, 'title: must stand on one line'],
    [
      'a thread of no thickness',
      { ...spec, wraps: { threadDiameter: 0 } },
      'wraps, threadDiameter: 0 mm is outside 0.02 mm to 2.0 mm',
    ],
    [
      'a text longer than any list',
      { ...spec, layout: { kind: 'entered', text: 'x'.repeat(198_043) } },
      'layout, text: is longer than any list',
    ],
    [
      'a line longer than any',
      { ...spec, layout: { kind: 'entered', text: `9${'x'.repeat(90_000)}` } },
      'Line 1 of the list, "9xxxxx',
    ],
    [
      'a number where a text belongs',
      { ...spec, layout: { kind: 'entered', text: 5 } },
      'layout, text: must be a text',
    ],
    [
      'a list that can be read in two ways',
      { ...spec, layout: { kind: 'entered', text: '300\n560\n780\n960\n1100' } },
      'Add "from": "tip" or "from": "butt" beside its text',
    ],
    [
      'the same list in two ways of another kind',
      { ...spec, layout: { kind: 'entered', text: '100\n100\n120\n110\n130' } },
      '"numbers": "distances" or "numbers": "gaps"',
    ],
  ])('exits 3 on %s, and says it in one short line', async (_, value, words) => {
    expect(await run(value)).toBe(3);
    expect(complained[0]).toContain(words);
    expect(complained[0]!.length).toBeLessThan(400);
    expect(complained[0]).not.toMatch(/expected string|Too big|Invalid/);
    expect(printed).toEqual([]);
  });

  it('takes the answer to what a list leaves open', async () => {
    const text = '300\n560\n780\n960\n1100';
    expect(await run({ ...spec, layout: { kind: 'entered', text, from: 'butt' } })).toBe(0);
    expect(printed[0]).toContain(
      'line 1: 1118 mm from the tip, written from the butt as 300 mm'
        .replace('1118 mm', '1118.0 mm')
        .replace('300 mm', '300.0 mm'),
    );
    expect(await run({ ...spec, layout: { kind: 'entered', text: '100\n100\n120\n110\n130', numbers: 'gaps' } })).toBe(
      0,
    );
  });

  it('does not write over its own input, nor two files into one', async () => {
    const file = join(folder, 'layout.json');
    expect(await run(spec, '--out', file)).toBe(3);
    expect(await run(spec, '--csv', join(folder, '.', 'layout.json'))).toBe(3);
    expect(await run(spec, '--out', join(folder, 'a'), '--csv', join(folder, 'a'))).toBe(3);
    expect(complained.every((line) => line.includes('is named twice'))).toBe(true);
    expect(JSON.parse(await readFile(file, 'utf8'))).toEqual(spec);
  });

  it('does not give the thread of wraps it does not know', async () => {
    const { footLength: _, reach: __, ...bare } = small;
    expect(await run({ ...spec, guides: spec.guides.map(() => bare), others: [] })).toBe(0);
    expect(printed[0]).toContain(
      'Thread for the wraps is not known: the plan does not say how long the feet of G1, G2',
    );
    expect(printed[0]).not.toContain('0.0 m,');
  });

  it('counts a wall given for the whole rod where stations carry none', async () => {
    const stations = [
      { at: 0, diameter: 1.7 },
      { at: 1418, diameter: 11.4 },
    ];
    const rod = (own: object) => ({
      ...spec,
      layout: { ...bend, rod: { modulus: 40, wall: 0.8, ...own }, load: { newtons: 2, pullAngle: 90 } },
    });
    await run(rod({ stations }));
    await run(rod({}));
    expect(printed[0]).toBe(printed[1]);
  });

  it('prints the range of pulls, the tube, the tape and the balance', async () => {
    const reel = { seatAt: 1280, lipForward: 60, spoolDiameter: 45, lipToBlank: 14, choke: 'G2', axisTilt: 4 };
    const balance = { parts: [{ name: 'blank', grams: 60, at: 700 }], reel: { grams: 200, at: 1280 }, ahead: 80 };
    expect(await run({ ...spec, layout: bend, spool: reel, balance })).toBe(0);
    for (const name of ['light', 'working', 'heavy'])
      expect(printed[0]).toMatch(
        new RegExp(`${name} +[\\d.]+ N at 90 degrees: most turn [\\d.]+ degrees at G\\d, .* tip-top [\\d.]+ mm, G1`),
      );
    // 9.7 mm a metre of taper: 1.755 mm where a tube of 8 mm ends, and 0.05 mm for glue
    expect(printed[0]).toContain('its tube 1.9 mm inside, sold in inches as 5/64');
    expect(printed[0]).toContain('Tape to cut: 6 of 5 mm by');
    // the lip at 1220, the axis 36.5 mm up: 36.5 / tan 4 degrees ahead of it
    expect(printed[0]).toContain('The spool’s axis meets the blank 698.0 mm from the tip.');
    // (60 x 700 + 200 x 1280) / 260, and (60 x 700 + 260 x 80) / 60
    expect(printed[0]).toContain('The rod balances 1146.2 mm from the tip.');
    expect(printed[0]).toContain('the reel goes 1046.7 mm from the tip.');
  });

  it.each([
    ['growth', 7],
    ['bend', 7],
    ['pasted', 7],
    ['casting', 9],
    ['fly', 10],
  ] as const)('lays out the example %s.json with nothing to put right', async (name, guides) => {
    expect(await planCommand([join('fixtures', 'layouts', `${name}.json`)])).toBe(0);
    expect(complained).toEqual([]);
    expect(printed[0]).not.toContain('Put right');
    expect(printed[0]!.match(/^G?\d+ +guide /gm)).toHaveLength(guides);
  });

  it('exits 3 on a missing file, a wrong option and nothing at all', async () => {
    expect(await planCommand([join(folder, 'none.json')])).toBe(3);
    expect(await planCommand(['a.json', '--inches'])).toBe(3);
    expect(await planCommand(['a.json', '--out'])).toBe(3);
    expect(await planCommand([])).toBe(3);
    expect(complained).toEqual([
      expect.stringContaining('none.json cannot be read'),
      expect.stringContaining('"--inches" is not an option'),
      expect.stringContaining('--out needs a file name'),
      expect.stringContaining('No layout file was named'),
    ]);
  });

  it('lists a rod in pieces piece by piece, and writes a plan and a list for each', async () => {
    const jointed = { ...spec, joints: [{ kind: 'sleeve', at: 700, length: 60 }] };
    const [csv, pieces] = [join(folder, 'marks.csv'), join(folder, 'pieces')];
    expect(await run(jointed, '--csv', csv, '--pieces', pieces)).toBe(0);
    expect(printed[0]).toContain('A made-up rod, piece 1 of 2: 700.0 mm long from the tip to the opening.');
    expect(printed[0]).toContain('piece 2 of 2: 778.0 mm long from the end that goes in to the butt.');
    const [tip, butt] = await Promise.all(
      [1, 2].map(async (n) => parsePlan(await readFile(join(pieces, `piece-${n}.json`), 'utf8'))),
    );
    expect([...tip!.positions, ...butt!.positions].map(({ id }) => id)).toEqual(['T', 'G1', 'G2', 'G3', 'G4', 'G5']);
    expect(butt!.section).toEqual({ startsAt: 640, piece: 2, of: 2 });
    const last = (await readFile(join(pieces, 'piece-2.csv'), 'utf8')).trimEnd().split('\r\n').at(-1)!;
    expect(last.startsWith('G5,guide,308.00,')).toBe(true);
    expect(await readFile(csv, 'utf8')).toContain('"A made-up rod, piece 2 of 2"\r\nmark,');
    expect(await run(spec, '--pieces', pieces)).toBe(3);
    expect(complained.at(-1)).toContain('the rod is one piece');
    expect(await run(jointed, '--pieces', pieces, '--out', join(pieces, 'piece-1.json'))).toBe(3);
    expect(complained.at(-1)).toContain('is named twice');
  });
});
