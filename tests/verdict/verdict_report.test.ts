import { describe, expect, test } from 'vitest';
import { InputError } from '../../src/plan/input_error.ts';
import type { Plan } from '../../src/plan/plan.ts';
import { answerOf } from '../../src/verdict/answer.ts';
import { compareChecks, comparisonSentences, ringsOnMarks } from '../../src/verdict/compare_reports.ts';
import type { Report, ReportItem } from '../../src/verdict/report.ts';
import { parseReport, reportToText } from '../../src/verdict/report_file.ts';
import { reportTable, stateText } from '../../src/verdict/report_table.ts';
import { rodVerdict } from '../../src/verdict/rod_verdict.ts';
import {
  amountText,
  degreesText,
  doubtDigits,
  listText,
  measuredText,
  plannedText,
  rollText,
} from '../../src/verdict/wording.ts';

const ring = (id: string, planned: number, more: Partial<ReportItem> = {}): ReportItem => ({
  id,
  kind: 'guide',
  planned,
  found: true,
  along: { value: planned + 0.1, expanded: 0.2 },
  alongVerdict: 'on',
  roll: { value: 0.2, expanded: 0.5 },
  rollVerdict: 'on',
  guideVerdict: 'as-planned',
  ...more,
});
const reportOf = (items: ReportItem[], more: Partial<Report> = {}): Report => ({
  schema: 'prewrap.report/1',
  unit: 'mm',
  stage: 'rings',
  verdict: rodVerdict(more.stage ?? 'rings', items, more.extras ?? [], true),
  items,
  extras: [],
  photos: [{ file: '1.jpg', tags: 18, residual: 0.15, problems: [] }],
  scale: { along: 0.9963, across: 0.9974, expanded: 0.0004 },
  notes: [],
  ...more,
});
const plan: Plan = {
  title: 'Test rod',
  unit: 'mm',
  blank: { length: 1300, tipDiameter: 1.8, buttDiameter: 11, finish: 'dark' },
  positions: [],
  tolerance: { along: 1.5, roll: 2 },
};
const slid = ring('G2', 184, {
  along: { value: 187.3, expanded: 0.24 },
  alongVerdict: 'off',
  advice: 'Slide G2 3.3 mm toward the tip.',
});
const lost: ReportItem = { id: 'G3', kind: 'guide', planned: 291, found: false, alongVerdict: 'missing' };
const full = reportOf([ring('G1', 88), slid, lost], {
  extras: [{ kind: 'ring', along: { value: 620, expanded: 0.3 }, advice: 'Take it off.' }],
  patterns: [{ kind: 'shift', value: 3, u: 0.1, probability: 0.99 }],
  notes: ['3 guides planned, 2 found.'],
});

describe('the whole rod', () => {
  const settled = ring('G1', 88);
  test('ready only when every item is found and settled, nothing is extra, and the scale was measured', () => {
    expect(rodVerdict('rings', [settled], [], true)).toBe('ready');
    expect(rodVerdict('rings', [settled], [], false)).toBe('reshoot');
    expect(rodVerdict('rings', [], [], true)).toBe('reshoot');
    expect(rodVerdict('rings', [settled], full.extras, true)).toBe('fix');
    for (const open of [
      { alongVerdict: 'unsure' },
      { rollVerdict: 'unsure' },
      { guideVerdict: 'unsure' },
      { rollVerdict: undefined },
      { guideVerdict: undefined },
    ] as const)
      expect(rodVerdict('rings', [settled, { ...settled, ...open }], [], true)).toBe('reshoot');
    for (const wrong of [
      { alongVerdict: 'off' },
      { rollVerdict: 'off' },
      { guideVerdict: 'different' },
      { found: false, alongVerdict: 'missing' },
    ] as const)
      expect(
        rodVerdict('rings', [settled, { ...settled, ...wrong }, { ...settled, alongVerdict: 'unsure' }], [], true),
      ).toBe('fix');
    expect(rodVerdict('marks', [{ found: true, alongVerdict: 'on' }], [], true)).toBe('ready');
  });
  test('answers in words', () => {
    expect(answerOf(full)).toBe('Move one guide. One guide is missing. Take off one extra guide.');
    expect(answerOf(reportOf([settled]))).toBe('Ready to wrap.');
    expect(answerOf(reportOf([settled, ring('G2', 184, { rollVerdict: 'unsure' })]))).toBe(
      'Shoot again: G2 is not settled.',
    );
    const open = (id: string, at: number) => ring(id, at, { rollVerdict: 'unsure' });
    expect(answerOf(reportOf([open('G1', 92), open('G2', 184), open('G3', 300)]))).toBe(
      'Shoot again: every guide is in place, but none is settled in roll and size yet.',
    );
    const nowhere = { rollVerdict: 'unsure', alongVerdict: 'unsure' } as const;
    expect(answerOf(reportOf([open('G1', 92), open('G2', 184), ring('G3', 300, nowhere)]))).toBe(
      'Shoot again: no guide is settled yet.',
    );
    const unclear = { found: false, sighting: 'not-made-out', alongVerdict: 'unsure' } as const;
    const mostlyUnclear = [settled, ring('G2', 184, { alongVerdict: 'off' }), ring('G3', 300, unclear)];
    expect(answerOf(reportOf([...mostlyUnclear, ring('G4', 400, unclear)]))).toBe(
      'Move one guide. I cannot make out G3 and G4.',
    );
    expect(answerOf(reportOf([...mostlyUnclear.slice(1), ring('G4', 400, unclear), ring('G5', 500, unclear)]))).toBe(
      'I cannot make out most of the guides: shoot again, in softer light, before you move anything.',
    );
    expect(answerOf(reportOf([]))).toBe('Nothing to check: the plan has no places for this shoot.');
  });
});

describe('report file', () => {
  test('what is written reads back the same', () => {
    expect(parseReport(reportToText(full))).toEqual(full);
  });
  test('fields it does not know are left aside', () => {
    expect(parseReport({ ...full, later: 1 })).toEqual(full);
  });
  test('what cannot be a report gets one sentence with its place', () => {
    const bad = (value: unknown, pattern: RegExp) => {
      expect(() => parseReport(value, 'old.json')).toThrow(InputError);
      expect(() => parseReport(value, 'old.json')).toThrow(pattern);
    };
    bad('{', /^old\.json/);
    bad({ schema: 'prewrap.plan/1' }, /prewrap\.report\/1/);
    bad(
      { ...full, items: [{ ...slid, along: { value: 'x', expanded: 1 } }] },
      /^old\.json, items\[0\] "G2", along, value: must be a number\.$/,
    );
    bad({ ...full, items: [{ ...slid, along: { value: 1, expanded: -1 } }] }, /zero or more/);
    bad({ ...full, items: [{ ...slid, along: undefined }] }, /belongs to a found place/);
    bad({ ...full, items: [slid, slid] }, /stands twice/);
    bad({ ...full, verdict: 'fine' }, /"ready" or "fix" or "reshoot"/);
  });
});

describe('the table a person reads', () => {
  const text = reportTable(plan, full);
  test('answer first, one row a place, a doubt beside every number found, then what to do', () => {
    const lines = text.split('\n');
    expect(lines[0]).toBe('Move one guide. One guide is missing. Take off one extra guide.');
    expect(text).toMatch(/^G2 +184 mm +187\.3 mm ± 0\.3 +3\.3 mm toward the butt +0\.2° clockwise ± 0\.5 +- +off$/m);
    expect(text).toMatch(/^G3 +291 mm +- +- +- +- +missing$/m);
    expect(text).toContain('Slide G2 3.3 mm toward the tip.');
    expect(text).toContain('printed at 99.63 % along and 99.74 % across, give or take 0.04 %');
    expect(lines.every((line) => line === line.trimEnd())).toBe(true);
  });
  test('in inches', () => {
    const inches = reportTable({ ...plan, unit: 'in' }, reportOf([ring('G1', 3.5 * 25.4)]));
    expect(inches).toMatch(/^G1 +3 1\/2 in +3\.504 in ± 0\.008 +0\.004 in toward the butt/m);
  });
  test('a photo’s problem is told with its file', () => {
    const blurred = reportOf([ring('G1', 88)], {
      photos: [{ file: '4.jpg', tags: 0, residual: 0, problems: ['No tags seen.'] }],
    });
    expect(reportTable(plan, blurred)).toContain('4.jpg: No tags seen.');
  });
  test('the state of a row in words', () => {
    expect(stateText(ring('G1', 88, { byHand: true }))).toBe('in place, set by hand');
    expect(stateText(ring('G1', 88, { alongVerdict: 'off', rollVerdict: 'off', guideVerdict: 'different' }))).toBe(
      'another guide, off, rolled',
    );
    expect(stateText(ring('G1', 88, { rollVerdict: 'unsure', guideVerdict: 'unsure' }))).toBe(
      'roll and ring size not settled',
    );
    expect(stateText({ ...lost, alongVerdict: 'unsure' })).toBe('in no photo');
  });
});

describe('two checks of one rod', () => {
  const again = reportOf([ring('G1', 88), ring('G2', 184), lost]);
  test('what was put right, what is still wrong, what went away', () => {
    expect(comparisonSentences(full, again, 'mm')).toEqual([
      'G2 is now in place.',
      'G3 is still to be put right.',
      'One extra guide is gone.',
    ]);
    expect(comparisonSentences(again, full, 'mm')).toEqual([
      'G3 is still to be put right.',
      'G2 is wrong now and was not before.',
      'One extra guide is new.',
    ]);
    expect(comparisonSentences(again, again, 'mm')).toEqual(['G3 is still to be put right.']);
    const good = reportOf([ring('G1', 88)]);
    expect(comparisonSentences(good, good, 'mm')).toEqual(['Nothing has changed.']);
  });
  test('a move counts as one only beyond both doubts together', () => {
    const [first, second] = compareChecks(full, again);
    expect(first).toMatchObject({ id: 'G1', before: 'in-place', after: 'in-place', changed: false });
    expect(second?.moved?.value).toBeCloseTo(-3.2, 9);
    expect(second?.moved?.expanded).toBeCloseTo(Math.hypot(0.24, 0.2), 9);
    expect(second?.changed).toBe(true);
    const nudged = reportOf([ring('G1', 88, { along: { value: 89, expanded: 0.2 } })]);
    expect(comparisonSentences(reportOf([ring('G1', 88)]), nudged, 'mm')).toEqual([
      'G1 moved 0.9 mm toward the butt and is still in place.',
    ]);
  });
  test('a place only one check knew is kept', () => {
    expect(compareChecks(reportOf([lost]), reportOf([ring('G9', 900)])).map((c) => [c.id, c.before, c.after])).toEqual([
      ['G9', undefined, 'in-place'],
      ['G3', 'wrong', undefined],
    ]);
  });
  test('rings against the marks of an earlier shoot', () => {
    const marks = reportOf(
      [
        {
          id: 'G2',
          kind: 'guide',
          planned: 184,
          found: true,
          along: { value: 187, expanded: 0.1 },
          alongVerdict: 'off',
        },
      ],
      { stage: 'marks' },
    );
    const [only, ...others] = ringsOnMarks(marks, full);
    expect(others).toEqual([]);
    expect(only?.fromMark.value).toBeCloseTo(0.3, 9);
    expect(only?.markOff.value).toBeCloseTo(3, 9);
    expect(only?.ringOff.value).toBeCloseTo(3.3, 9);
  });
});

describe('words for numbers', () => {
  test('a doubt is never said smaller than it is', () => {
    expect(doubtDigits(0.2, 'mm')).toBe('0.2');
    expect(doubtDigits(0.2001, 'mm')).toBe('0.3');
    expect(doubtDigits(0.01, 'mm')).toBe('0.1');
    expect(doubtDigits(0.2, 'in-fraction')).toBe('0.008');
    expect(doubtDigits(Infinity, 'mm')).toBe('unknown');
    expect(measuredText({ value: 948.26, expanded: 0.2 }, 'mm')).toBe('948.3 mm, give or take 0.2');
    expect(rollText({ value: -4.52, expanded: 0.31 })).toBe('4.5 degrees counter-clockwise, give or take 0.4');
  });
  test('a roll of nothing has no side', () => {
    expect(rollText({ value: -0.04, expanded: 0.31 })).toBe('not rolled, give or take 0.4');
    expect(rollText({ value: 0.06, expanded: 0.31 })).toBe('0.1 degrees clockwise, give or take 0.4');
  });
  test('planned places keep their own figure', () => {
    expect(plannedText(183.5, 'mm')).toBe('183.5 mm');
    expect(plannedText(291, 'mm')).toBe('291 mm');
    expect(plannedText(21.75 * 25.4, 'in-fraction')).toBe('21 3/4 in');
    expect(plannedText(21.7 * 25.4, 'in-fraction')).toBe('21.7 in');
    expect(plannedText(21.75 * 25.4, 'in')).toBe('21.75 in');
  });
  test('amounts, degrees, lists', () => {
    expect(amountText(-3.2, 'mm')).toBe('3.2 mm');
    expect(amountText(3.2, 'in-fraction')).toBe('1/8 in');
    expect(amountText(0.2, 'in-fraction')).toBe('0.008 in');
    expect(degreesText(-1)).toBe('1 degree');
    expect(degreesText(4.96)).toBe('5 degrees');
    expect(listText(['G1', 'G2', 'G5'])).toBe('G1, G2 and G5');
  });
});
