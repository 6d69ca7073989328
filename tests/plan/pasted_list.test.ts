import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type PastedLine, readPastedList as readList } from '../../src/plan/lists/pasted_list.ts';

const readPastedList = (text: string, unit: 'mm' | 'in') => readList(text, { unit }).lines;
const one = (text: string, unit: 'mm' | 'in' = 'in'): PastedLine => readPastedList(text, unit)[0]!;
const at = (line: PastedLine) => (line.outcome === 'position' ? line.mm / 25.4 : Number.NaN);

describe('pasted list', () => {
  it('takes a comma for a decimal one where the heading had its cells parted by tabs', () => {
    const [, read] = readPastedList('Guide\tDistance (mm)\n445,5', 'mm');
    expect(read).toMatchObject({ outcome: 'position', mm: 445.5 });
    const [, cells] = readPastedList('Guide,Distance (mm)\nG4,445', 'mm');
    expect(cells).toMatchObject({ outcome: 'position', mm: 445, label: 'G4' });
  });

  it('reads thirty mixed lines in one go, every line accounted for', () => {
    const lines: [string, PastedLine['outcome'], number?, string?][] = [
      ['My rod, from the tip', 'heading'],
      ['Guide\tDistance (in)\tRing', 'heading'],
      ['', 'empty'],
      ['1) 4 1/8', 'position', 4.125, '1'],
      ['2. 8 9/16', 'position', 8.5625, '2'],
      ['G3 11 7/16in', 'position', 11.4375, 'G3'],
      ['G4: 15⅜', 'position', 15.375, 'G4'],
      ['5 - 19 3/4', 'position', 19.75, '5'],
      ['6 24.5', 'position', 24.5, '6'],
      ['7  30', 'position', 30, '7'],
      ['• 36 1/2"', 'position', 36.5],
      ['- 37', 'position', 37],
      ['Guide 8: 38 7/16', 'position', 38.4375, 'Guide 8'],
      ['Guide 9 41 1/2 in', 'position', 41.5, 'Guide 9'],
      ['stripper 44 1/2 in (size 20)', 'position', 44.5, 'stripper'],
      ['45-3/8', 'position', 45.375],
      ['1168,4 mm', 'position', 46],
      ['119.38cm', 'position', 47],
      ['G12 = 48"', 'position', 48, 'G12'],
      ['#13 49', 'position', 49, '#13'],
      ['G14\t50\t25', 'position', 50, 'G14'],
      ['butt;51,5;30', 'position', 51.5, 'butt'],
      ['52 from tip', 'position', 52],
      ['53 1/2 last one', 'position', 53.5],
      ['G3 1/8', 'problem'],
      ['11/8', 'problem'],
      ['4\' 6"', 'position', 54],
      ['54 or 55 or 56', 'problem'],
      ['-57', 'problem'],
      ['58x', 'problem'],
    ];
    const read = readPastedList(lines.map(([text]) => text).join('\n'), 'in');
    expect(read).toHaveLength(30);
    for (const [k, line] of read.entries()) {
      const [text, outcome, inches, label] = lines[k]!;
      expect(line).toMatchObject({ line: k + 1, text, outcome });
      if (line.outcome !== 'position') continue;
      expect(line.mm).toBeCloseTo(inches! * 25.4, 9);
      expect(line.label).toBe(label);
    }
  });

  it('takes the unit from a heading, and a unit on the line before that', () => {
    const [, a, b] = readPastedList('Distance (cm)\n12,5\n5 in', 'mm');
    expect(a).toMatchObject({ mm: 125, unit: 'cm' });
    expect(b).toMatchObject({ mm: 127, unit: 'in' });
  });

  it('finds the column of distances by its heading', () => {
    const [, row] = readPastedList('ring\tfrom tip (mm)\tid\n8\t314\tG3', 'in');
    expect(row).toMatchObject({ outcome: 'position', mm: 314, label: 'G3', note: '8' });
    expect(readPastedList('id\tfrom tip\tring\nG1\tabc\t6', 'in')[1]).toMatchObject({ outcome: 'problem' });
  });

  it('reads comma-separated rows without taking their commas for decimals', () => {
    const [, a, b] = readPastedList('id,at,ring\nG1,92.0,6\nG2,196,6', 'mm');
    expect(a).toMatchObject({ label: 'G1', mm: 92 });
    expect(b).toMatchObject({ label: 'G2', mm: 196 });
    expect(one('G1,92.0', 'mm')).toMatchObject({ label: 'G1', mm: 92 });
    expect(one('92,5', 'mm')).toMatchObject({ mm: 92.5 });
  });

  it('keeps running numbers apart from thousands', () => {
    expect(readPastedList('1 92\n2 196\n3 314', 'mm').map((line) => line.outcome === 'position' && line.mm)).toEqual([
      92, 196, 314,
    ]);
    expect(one('7 314', 'mm')).toMatchObject({
      outcome: 'problem',
      why: expect.stringContaining('7314 or number 7 at 314'),
    });
    expect(one('1,048', 'mm')).toMatchObject({ outcome: 'problem' });
  });

  it.each(['Guide 3 7/16', 'G3 1/8', '4 1/8,8 9/16', '2026-01-02', '2.5.3', '1/2/3', '5 in 6 in', '1.2 m', 'G1 3 yd'])(
    'does not choose where %j could be read in two ways or not at all',
    (text) => expect(one(text)).toMatchObject({ outcome: 'problem', why: expect.stringMatching(/.{15,}/) }),
  );

  it('gives back every fraction under any of the usual labels', () => {
    const label = fc.constantFrom('', '3) ', '3. ', 'G3 ', 'G3: ', 'Guide 3: ', 'tip ', 'G3\t', '• ');
    const fraction = fc.tuple(
      fc.integer({ min: 1, max: 99 }),
      fc.constantFrom(2, 4, 8, 16, 32),
      fc.nat(),
      fc.constantFrom('', '"', ' in', 'in'),
    );
    fc.assert(
      fc.property(label, fraction, (before, [whole, below, n, unit]) => {
        const over = (n % (below / 2)) * 2 + 1;
        const line = one(`${before}${whole} ${over}/${below}${unit}`);
        expect(at(line)).toBeCloseTo(whole + over / below, 9);
        expect(line).toHaveProperty('outcome', 'position');
      }),
    );
  });

  it('answers any text with one outcome a line and no NaN', () => {
    const signs = Array.from('0123456789/ ,.-\t;"inmGc½:)(\n');
    fc.assert(
      fc.property(fc.string({ unit: fc.constantFrom(...signs), maxLength: 60 }), (text) => {
        const read = readPastedList(text, 'in');
        expect(read.map((line) => line.text)).toEqual(text.split('\n'));
        for (const line of read) {
          if (line.outcome === 'position') expect(line.mm).toBeGreaterThanOrEqual(0);
        }
      }),
      { numRuns: 1000 },
    );
  });
});
