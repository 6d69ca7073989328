import { expect, test } from 'vitest';
import { reportCsv } from '../../src/store/export_table.ts';
import type { Report } from '../../src/verdict/report.ts';

const report: Report = {
  schema: 'prewrap.report/1',
  unit: 'mm',
  stage: 'rings',
  verdict: 'fix',
  items: [
    {
      id: '=G1',
      kind: 'guide',
      planned: 254,
      found: true,
      along: { value: 256.54, expanded: 0.508 },
      alongVerdict: 'off',
      roll: { value: -1.5, expanded: 0.25 },
      rollVerdict: 'on',
      guideVerdict: 'as-planned',
      advice: 'Slide it, then "look" again.',
    },
    { id: 'G2', kind: 'guide', planned: 508, found: false, alongVerdict: 'missing' },
  ],
  extras: [{ kind: 'ring', along: { value: 300, expanded: 1 } }],
  photos: [],
  scale: { along: 1, across: 1, expanded: 0.001 },
  notes: [],
};

test('every place and extra has its row, lengths in the unit asked for, with quotes as RFC 4180 has them', () => {
  const rows = reportCsv(report, 'in-fraction').trimEnd().split('\r\n');
  expect(rows[0]).toMatch(
    /^place,kind,planned \(in\),found \(in\),doubt \(in\),"off, \+ toward the butt \(in\)",along,/,
  );
  expect(rows[1]).toBe(
    `'=G1,guide,10.0000,10.1000,0.0200,0.1000,off,-1.50,0.25,on,,,as-planned,,"Slide it, then ""look"" again."`,
  );
  expect(rows[2]).toBe('G2,guide,20.0000,,,,missing,,,,,,,,');
  expect(rows[3]).toBe(',extra ring,,11.8110,0.0394,,extra,,,,,,,,');
  expect(reportCsv(report, 'mm').split('\r\n')[1]).toMatch(/^'=G1,guide,254\.00,256\.54,0\.51,2\.54,off,/);
});
