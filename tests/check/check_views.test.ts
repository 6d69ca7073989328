import { expect, test } from 'vitest';
import { signsOf, signInWords } from '../../src/app/kit/item_sign.ts';
import { ringsInView } from '../../src/app/check/ring_views.ts';
import { stepStates } from '../../src/app/session/step_needs.ts';
import { surenessParts, surenessSentences } from '../../src/app/check/sureness.ts';
import { newBuild } from '../../src/app/files/new_build.ts';
import type { Plan } from '../../src/plan/plan.ts';
import type { KeptCheck } from '../../src/store/build.ts';
import { isCurrent, isOfSome } from '../../src/store/is_current.ts';
import type { Report, ReportItem } from '../../src/verdict/report.ts';

const plan: Plan = {
  title: 'Rod',
  unit: 'mm',
  blank: { length: 1000, tipDiameter: 2, buttDiameter: 10, finish: 'dark' },
  positions: [
    {
      id: 'G1',
      kind: 'guide',
      at: 500,
      guide: { ringOuter: 10, ringInner: 7, height: 12, lean: 0, foot: 'single' },
    },
  ],
  tolerance: { along: 1.5, roll: 2 },
};
const item = (changes: Partial<ReportItem> = {}): ReportItem => ({
  id: 'G1',
  kind: 'guide',
  planned: 500,
  found: true,
  along: { value: 500.2, expanded: 0.21 },
  alongVerdict: 'on',
  roll: { value: 0, expanded: 0.4 },
  rollVerdict: 'on',
  guideVerdict: 'as-planned',
  ...changes,
});
const report = (items: ReportItem[], changes: Partial<Report> = {}): Report => ({
  schema: 'prewrap.report/1',
  unit: 'mm',
  stage: 'rings',
  verdict: 'ready',
  items,
  extras: [],
  photos: [{ file: '01.jpg', tags: 20, residual: 0.15, problems: [] }],
  scale: { along: 1, across: 1, expanded: 0.0005 },
  notes: [],
  ...changes,
});

test('the arrow points the way to go, the turning arrow the way to turn', () => {
  const off = item({
    along: { value: 503.2, expanded: 0.2 },
    alongVerdict: 'off',
    roll: { value: 5, expanded: 0.4 },
    rollVerdict: 'off',
  });
  const signs = signsOf(off);
  expect(signs.map((sign) => signInWords(sign, 'mm'))).toEqual([
    'slide 3.2 mm toward the tip',
    'turn 5 degrees counter-clockwise, seen from the butt',
  ]);
});

test('only an item with everything settled and in place gets the dot', () => {
  expect(signsOf(item())).toEqual([{ kind: 'in-place' }]);
  for (const change of [
    { alongVerdict: 'unsure' },
    { rollVerdict: 'unsure' },
    { guideVerdict: 'unsure' },
    { alongVerdict: 'missing', found: false },
    { alongVerdict: 'unsure', found: false },
    { guideVerdict: 'different' },
    { alongVerdict: 'off' },
    { rollVerdict: 'off' },
  ] as const)
    expect(signsOf(item(change)).map((sign) => sign.kind)).not.toContain('in-place');
});

test('sighting view: the reference points up, and a ring rolled clockwise stands to the right', () => {
  // on the bench the seat card points 30 degrees clockwise; the ring 35 degrees
  const bench = (35 * Math.PI) / 180;
  const check = {
    plan,
    report: report([item({ roll: { value: 5, expanded: 0.4 } })]),
    evidence: {
      photos: [],
      closeUps: [],
      rings: [
        {
          id: 'G1',
          along: 500,
          right: 18 * Math.sin(bench),
          up: 18 * Math.cos(bench),
          ringOuter: 10,
          blankRadius: 3,
          roll: 35,
        },
      ],
    },
  } as unknown as KeptCheck;
  const [ring] = ringsInView(check);
  expect(ring!.right).toBeCloseTo(18 * Math.sin((5 * Math.PI) / 180), 9);
  expect(ring!.up).toBeCloseTo(18 * Math.cos((5 * Math.PI) / 180), 9);
});

test('doubt is never said smaller than it is, and its largest part comes first', () => {
  const uncertainty = { scale: 0.02, geometry: 0.03, reading: 0.1, tip: 0 };
  const said = surenessSentences(report([item({ uncertainty })]), plan, 'mm');
  expect(said[0]).toContain('0.3 mm');
  expect(said.join(' ')).toContain('0.5 mm over the rod');
  expect(surenessParts(report([item({ uncertainty })]))).toEqual([
    { part: 'reading', expanded: 0.2 },
    { part: 'geometry', expanded: 0.06 },
    { part: 'scale', expanded: 0.04 },
  ]);
});

test('a scale nobody measured is said outright', () => {
  const said = surenessSentences(report([item()], { scale: { along: 1, across: 1, expanded: Infinity } }), plan, 'mm');
  expect(said.join(' ')).toContain('its scale is not known');
});

test('a check speaks only of the plan, the mat and the photos it was made from', () => {
  const { document } = newBuild({ plan, photos: [{ id: 'p1', name: '01.jpg', bytes: 1, addedAt: '' }] });
  const { id: _, photos: __, ...readings } = document.shoot;
  const check = {
    plan,
    shoot: { ...readings, photos: ['01.jpg'] },
    photoIds: { '01.jpg': 'p1' },
    report: report([item()]),
  } as unknown as KeptCheck;
  expect(isCurrent(check, document)).toBe(true);
  expect(stepStates(document, check, false).check.state).toBe('done');
  const others = [
    { ...document, plan: { ...plan, tolerance: { along: 1, roll: 2 } } },
    { ...document, shoot: { ...document.shoot, mat: { barAlong: 99.8 } } },
    { ...document, shoot: { ...document.shoot, photos: [] } },
    { ...document, shoot: { ...document.shoot, photos: [{ id: 'p2', name: '01.jpg', bytes: 1, addedAt: '' }] } },
  ];
  for (const other of others) expect([isCurrent(check, other), isOfSome(check, other)]).toEqual([false, false]);
  const more = { ...document.shoot, photos: [...document.shoot.photos, { ...document.shoot.photos[0]!, id: 'p2' }] };
  expect(isCurrent(check, { ...document, shoot: more })).toBe(false);
  expect(isOfSome(check, { ...document, shoot: more })).toBe(true);
  expect(isCurrent(check, { ...document, thread: '#000000', lengths: 'in' })).toBe(true);
});
