import { describe, expect, it } from 'vitest';
import { readPastedList } from '../../src/plan/lists/pasted_list.ts';

/** What a list of these lines comes to: distances in the unit meant, `!` for a problem, and what is asked. */
function said(text: string, unit: 'mm' | 'in', end: number): string {
  const per = unit === 'in' ? 25.4 : 1;
  const { lines, questions } = readPastedList(text, { unit, end: end * per });
  const read = lines.map((line) => {
    if (line.outcome === 'problem') return '!';
    return line.outcome === 'position' ? String(Number((line.mm / per).toFixed(6))) : '#';
  });
  return [...read, ...questions.map(({ about }) => `?${about}`)].join(' ');
}

describe('lines that once gave a wrong number in silence', () => {
  it.each([
    ['12 ³⁄₈', '12.375'],
    ['29 ¹³⁄₁₆', '29.8125'],
    ['10⅑', '10.111111'],
    ['17½', '17.5'],
    ['17\u00c2½', '17.5'],
    ['17\ufffd', '!'],
    ['12 3/8 9', '!'],
    ['Guide, Distance, Ring (mm)\nG1, 4, 6\nG2, 8.5, 6', '# 4 8.5'],
    ['gap\n4\n4 1/2\n5', '# 4 8.5 13.5'],
    ['Guide\tGap\nG1\t4\nG2\t4.5', '# 4 8.5'],
    ['G1,4,6', '!'],
    ['92 6 mm', '!'],
    ['445 x 16', '!'],
    ['G1 92 6mm', '!'],
    ['Guide,Distance,Ring\n"G1","4 1/8","6"\n"G2, low","8 9/16","6"', '# 4.125 8.5625'],
    ['1,5\n2,5\n3,5', '5 5 5 ?comma ?numbers'],
    ['120 ± 2', '!'],
    ['=120+5', '!'],
    ['5 + 3/8', '5.375'],
    ['120-125', '!'],
    ['5..5', '!'],
    ['12 .5', '!'],
    ['5′', '60'],
    ['１２', '12'],
    ['١٢', '12'],
  ])('%j in an inch plan reads %s', (text, reading) => expect(said(text, 'in', 120)).toBe(reading));

  it.each([
    ['Distance from butt\n300\n560\n780', '# 1118 858 638'],
    ['300 from the butt end\n560 from the butt end', '1118 858'],
    ['1326\n1222\n1104\n972', '1326 1222 1104 972 ?from'],
    ['300\n560\n780\n960\n1100', '300 560 780 960 1100 ?from'],
    ['92,5\n196,25', '92.5 196.25'],
    ['1 250', '!'],
    ['1’250', '1250'],
    ['1,250.5', '1250.5'],
    ['１２０', '120'],
    ['١٢٠', '120'],
  ])('%j in a plan of 1418 mm reads %s', (text, reading) => expect(said(text, 'mm', 1418)).toBe(reading));
});
