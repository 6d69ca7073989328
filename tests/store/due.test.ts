import { expect, test } from 'vitest';
import { groupedByDue } from '../../src/app/builds/grouped_by_due.ts';
import { defaultTolerance } from '../../src/plan/plan.ts';
import type { BuildDocument, BuildSummary, KeptCheck } from '../../src/store/build.ts';
import { dueOf } from '../../src/store/due.ts';
import type { Report } from '../../src/verdict/report.ts';

const document = (places: number, photos: readonly string[]): BuildDocument => ({
  plan: {
    title: 'Rod',
    unit: 'mm',
    blank: { length: 1400, tipDiameter: 2, buttDiameter: 12, finish: 'dark' },
    positions: Array.from({ length: places }, (_, i) => ({ id: `G${i}`, kind: 'guide', at: 100 * (i + 1) })),
    tolerance: defaultTolerance,
  },
  thread: '#1f5f8b',
  lengths: 'mm',
  shoot: {
    id: 'shoot',
    stage: 'rings',
    mat: {},
    rest: { kind: 'flat' },
    rollReference: 'seat-card',
    photos: photos.map((id) => ({ id, name: `${id}.jpg`, bytes: 1, addedAt: '2026-11-20T10:00:00.000Z' })),
  },
});
const checked = (of: BuildDocument, verdict: Report['verdict'], stage: Report['stage'] = 'rings'): KeptCheck => {
  const { id: _, photos, ...shoot } = of.shoot;
  return {
    id: 'check',
    buildId: 'build',
    at: '2026-11-20T10:00:00.000Z',
    plan: of.plan,
    shoot: { ...shoot, photos: photos.map(({ name }) => name) },
    photoIds: Object.fromEntries(photos.map(({ id, name }) => [name, id])),
    report: {
      schema: 'prewrap.report/1',
      unit: 'mm',
      stage,
      verdict,
      items: [],
      extras: [],
      photos: [],
      scale: { along: 1, across: 1, expanded: 0.0003 },
      notes: [],
    },
    evidence: { photos: [], rings: [], closeUps: [] },
  };
};

test('a build waits for its plan, then its marks, then the check, then what the check says', () => {
  expect(dueOf(document(0, []), undefined)).toBe('plan');
  expect(dueOf(document(3, []), undefined)).toBe('mark');
  const shot = document(3, ['a']);
  expect(dueOf(shot, undefined)).toBe('check');
  expect(dueOf(shot, checked(shot, 'fix'))).toBe('move');
  expect(dueOf(shot, checked(shot, 'reshoot'))).toBe('check');
  expect(dueOf(shot, checked(shot, 'ready'))).toBe('ready');
  expect(dueOf(shot, checked(shot, 'ready', 'wrapped'))).toBe('ready');
  // with the marks in place the guides come next
  expect(dueOf(shot, checked(shot, 'ready', 'marks'))).toBe('check');
  expect(dueOf(shot, checked(shot, 'fix', 'marks'))).toBe('move');
});

test('a verdict on another plan or other photos counts for nothing', () => {
  const before = document(3, ['a']);
  for (const verdict of ['fix', 'ready'] as const) {
    expect(dueOf(document(4, ['a']), checked(before, verdict))).toBe('check');
    expect(dueOf(document(3, ['b']), checked(before, verdict))).toBe('check');
    // a new round of photos is to be taken
    expect(dueOf(document(3, []), checked(before, verdict))).toBe('check');
  }
});

test('the list by what is due has every build once, the most pressing first, the unreadable last', () => {
  const summary = (id: string, due?: BuildSummary['due']): BuildSummary => ({
    id,
    title: id,
    thread: '',
    sample: false,
    changedAt: '',
    ...(due ? { due } : { damaged: true }),
  });
  const builds = [
    summary('a', 'ready'),
    summary('b'),
    summary('c', 'move'),
    summary('d', 'ready'),
    summary('e', 'plan'),
  ];
  expect(groupedByDue(builds).map(({ due, builds: some }) => [due, some.map(({ id }) => id)])).toEqual([
    ['move', ['c']],
    ['plan', ['e']],
    ['ready', ['a', 'd']],
    [undefined, ['b']],
  ]);
});
