import { describe, expect, test } from 'vitest';
import { type Plan, type Position, ringOf } from '../../src/plan/plan.ts';
import type { Shoot } from '../../src/plan/shoot.ts';
import { answerOf } from '../../src/verdict/answer.ts';
import { type JudgeOptions, judge } from '../../src/verdict/judge.ts';
import type {
  FurtherPhotoWanted,
  MeasuredPlace,
  MeasuredShoot,
  OpenVerdict,
} from '../../src/verdict/measured_shoot.ts';
import type { Report } from '../../src/verdict/report.ts';
import { parseReport, reportToText } from '../../src/verdict/report_file.ts';
import { reportTable } from '../../src/verdict/report_table.ts';
import { seededNormal } from '../world/seeded_random.ts';

const ring = (
  id: string,
  at: number,
  ringOuter: number,
  height: number,
  foot: 'single' | 'double' = 'single',
): Position => ({
  id,
  kind: 'guide',
  at,
  guide: { ringOuter, ringInner: 0.72 * ringOuter, height, lean: 0, foot },
});
const plan: Plan = {
  title: 'Test rod',
  unit: 'mm',
  blank: { length: 1300, tipDiameter: 1.8, buttDiameter: 11, finish: 'dark' },
  positions: [
    { id: 'T', kind: 'tip-wrap', at: 11 },
    ring('G1', 88, 6, 5.5),
    ring('G2', 184, 6, 5.5),
    ring('G3', 291, 6, 5.8),
    ring('G4', 412, 7, 7),
    ring('G5', 549, 9, 12),
    ring('G6', 703, 12, 18),
    ring('G7', 879, 20, 27, 'double'),
    { id: 'K', kind: 'hook-keeper', at: 1036 },
  ],
  tolerance: { along: 1.5, roll: 2 },
};
const guides = plan.positions.filter((p) => p.kind === 'guide');
const shootOf = (stage: Shoot['stage'], rollReference: Shoot['rollReference'] = 'seat-card'): Shoot => ({
  stage,
  photos: ['1.jpg'],
  mat: {},
  rest: { kind: 'flat' },
  rollReference,
});
/** Two photos show every place, and bare blank where nothing stands. */
const bareEverywhere = new Proxy<MeasuredShoot['shown']>(
  {},
  { get: () => ({ photos: ['1.jpg', '2.jpg'], bare: ['1.jpg', '2.jpg'], covered: [] }) },
);
const measuredOf = (places: MeasuredPlace[], more: Partial<MeasuredShoot> = {}): MeasuredShoot => ({
  places,
  photos: [{ file: '1.jpg', tags: 20, residual: 0.15, problems: [] }],
  scale: { along: 1, across: 1, u: 2e-4, measured: true },
  tip: 0.05,
  shown: bareEverywhere,
  notes: [],
  ...more,
});
const mark = (value: number, u = 0.12): MeasuredPlace => ({
  along: { value, u },
  width: { value: 1.6, u: 0.1 },
  colour: 'white',
});
const placeOf = (position: Position, change: Partial<MeasuredPlace> = {}): MeasuredPlace => ({
  along: { value: position.at + 0.2, u: 0.12 },
  roll: { value: 0.3, u: 0.3 },
  ringOuter: { value: ringOf(position.guide)!.ringOuter, u: 0.15 },
  ringInner: { value: ringOf(position.guide)!.ringInner, u: 0.15 },
  height: { value: position.guide!.height, u: 0.3 },
  ...change,
});
const along = (value: number, u = 0.12) => ({ along: { value, u } });
const roll = (value: number, u = 0.3) => ({ roll: { value, u } });
/** Rings all in place but for the changes, by id; `undefined` takes one away. */
const rings = (changes: Record<string, Partial<MeasuredPlace> | undefined> = {}): MeasuredPlace[] =>
  guides.flatMap((p) => (p.id in changes && changes[p.id] === undefined ? [] : [placeOf(p, changes[p.id])]));
const judgeRings = (
  changes: Parameters<typeof rings>[0],
  options?: JudgeOptions,
  more?: Partial<MeasuredShoot>,
): Report => judge(plan, shootOf('rings'), measuredOf(rings(changes), more), options);
const judgeMarks = (values: number[], more?: Partial<MeasuredShoot>, p: Plan = plan): Report =>
  judge(
    p,
    shootOf('marks'),
    measuredOf(
      values.map((v) => mark(v)),
      more,
    ),
  );
const item = (report: Report, id: string) => report.items.find((i) => i.id === id)!;
const inPlace = plan.positions.map((p) => p.at + 0.1);

describe('rings', () => {
  test('everything in place is ready', () => {
    const report = judgeRings({});
    expect(report.verdict).toBe('ready');
    expect(report.items.map((i) => i.id)).toEqual(['G1', 'G2', 'G3', 'G4', 'G5', 'G6', 'G7']);
    expect(report.items.every((i) => !i.cause && !i.advice)).toBe(true);
    expect(item(report, 'G3').along).toEqual({ value: 291.2, expanded: 0.24 });
    expect(answerOf(report)).toBe('Ready to wrap.');
    expect(report.notes).toEqual(['7 guides planned, all found.']);
  });
  test('one slid, one rolled: what to move and which way', () => {
    const report = judgeRings({ G4: along(415.2), G6: roll(-4.6) });
    expect(report.verdict).toBe('fix');
    expect(item(report, 'G4').advice).toBe('Slide G4 3.2 mm toward the tip.');
    expect(item(report, 'G6').advice).toBe('Turn G6 4.6 degrees clockwise, seen from the butt.');
    expect(answerOf(report)).toBe('Move two guides.');
  });
  test('slid and rolled at once', () => {
    const report = judgeRings({ G4: { ...along(408.5), ...roll(5) } });
    expect(item(report, 'G4').advice).toBe(
      'Slide G4 3.5 mm toward the butt, and turn it 5 degrees counter-clockwise, seen from the butt.',
    );
    expect(answerOf(judgeRings({ G4: roll(5) }))).toBe('Turn one guide.');
    // known so poorly that it may be anything, nothing is turned by it, however far off it is told
    expect(item(judgeRings({ G4: roll(40, 7) }), 'G4').rollVerdict).toBe('off');
    expect(item(judgeRings({ G4: roll(40, 8) }), 'G4').rollVerdict).toBe('unsure');
  });
  test('a foot set on the mark', () => {
    expect(item(judgeRings({ G2: along(176.3) }), 'G2').cause).toBe(
      'Likely the foot was set on the mark instead of the ring.',
    );
    expect(item(judgeRings({ G2: along(187.3) }), 'G2').cause).toBeUndefined();
    expect(item(judgeRings({ G7: along(871) }), 'G7').cause).toBeUndefined();
  });
  test('a ring on a mark that is itself off', () => {
    const report = judgeRings({ G5: { ...along(536.3), mark: { value: 536.2, u: 0.12 } } });
    expect(item(report, 'G5').mark?.fromRing).toBeCloseTo(0.1, 9);
    expect(item(report, 'G5').cause).toBe(
      'The ring sits on its mark, but the mark is 12.8 mm off, toward the tip: likely the tape was read wrong by half an inch.',
    );
  });
  test('the same from an earlier marks shoot', () => {
    const values = plan.positions.map((p) => (p.id === 'G5' ? 536.3 : p.at));
    const report = judgeRings({ G5: along(536.4) }, { earlierMarks: judgeMarks(values) });
    expect(item(report, 'G5').cause).toMatch(/^The ring sits on its mark, but the mark is 12\.7 mm off/);
    expect(report.notes).toContain('G5: ring 0.1 mm from its mark, mark 12.7 mm from plan.');
  });
  test('two guides that changed places', () => {
    const [a, b] = [guides[4]!, guides[5]!];
    const report = judgeRings({ G5: placeOf(b, along(549)), G6: placeOf(a, along(703)) });
    expect(report.verdict).toBe('fix');
    expect(report.extras).toEqual([]);
    for (const id of ['G5', 'G6']) {
      expect(item(report, id)).toMatchObject({ found: true, alongVerdict: 'on', guideVerdict: 'different' });
      expect(item(report, id).cause).toMatch(/have likely changed places/);
    }
    expect(item(report, 'G5').advice).toBe('Swap the guides at G5 and G6.');
    expect(item(report, 'G6').advice).toBe('Swap the guides at G5 and G6.');
    expect(answerOf(report)).toBe('Swap two guides.');
  });
  test('a guide that is in nobody’s plan', () => {
    const report = judgeRings({ G6: { ringOuter: { value: 16, u: 0.15 }, ringInner: { value: 11.5, u: 0.15 } } });
    expect(item(report, 'G6').cause).toBe(
      'The ring measures 16.0 mm, give or take 0.3, where one of 12 mm is planned.',
    );
    expect(item(report, 'G6').advice).toBe('Put the guide with the 12 mm ring at G6.');
  });
  test('one whose ring measures as planned and stands far higher is told by its height', () => {
    const { height } = ringOf(guides[5]!.guide)!;
    const report = judgeRings({ G6: { height: { value: height + 6, u: 0.3 } } });
    expect(item(report, 'G6').guideVerdict).toBe('different');
    expect(item(report, 'G6').cause).toBe(
      `The ring’s middle stands ${(height + 6).toFixed(1)} mm, give or take 0.6, over the blank, where ${height} mm is planned.`,
    );
    expect(item(report, 'G6').advice).toBe('Put the planned guide at G6.');
  });
  test('missing, and extra', () => {
    const places = [...rings({ G3: undefined }), placeOf(guides[4]!, along(620))];
    const report = judge(plan, shootOf('rings'), measuredOf(places));
    expect(report.verdict).toBe('fix');
    expect(item(report, 'G3')).toMatchObject({
      found: false,
      alongVerdict: 'missing',
      advice: 'The guide G3 (291 mm) is missing: 1.jpg and 2.jpg show bare blank there.',
    });
    expect(report.extras).toMatchObject([{ kind: 'ring', along: { value: 620 } }]);
    expect(report.notes[0]).toBe(
      '7 guides planned, 6 found; the one at 291 mm is missing; one more not in the plan, at 620.0 mm.',
    );
    expect(answerOf(report)).toBe('One guide is missing. Take off one extra guide.');
  });
  test('a place no photo shows is not called missing, and the rod is not ready', () => {
    const report = judgeRings({ G6: undefined }, {}, { shown: {} });
    expect(report.verdict).toBe('reshoot');
    expect(item(report, 'G6')).toMatchObject({ found: false, sighting: 'in-no-photo', alongVerdict: 'unsure' });
    expect(item(report, 'G6').advice).toBe('No photo shows G6: one more photo, over 703 mm.');
    expect(answerOf(report)).toBe('Shoot again: G6 is not settled.');
  });
  test.each([
    [[], 'not made out'],
    [['1.jpg'], 'bare in one photo only'],
  ])('a place that the photos show without showing it bare twice is not called missing (%s: %s)', (bare) => {
    const shown = { G6: { photos: ['1.jpg', '2.jpg'], bare, covered: ['2.jpg'] } };
    const report = judgeRings({ G6: undefined }, {}, { shown });
    expect(report.verdict).toBe('reshoot');
    expect(item(report, 'G6')).toMatchObject({ found: false, sighting: 'not-made-out', alongVerdict: 'unsure' });
    expect(item(report, 'G6').advice).toBe(
      'The photos show 703 mm, but I cannot make out the guide G6: point it out, or one closer photo.',
    );
    expect(answerOf(report)).toBe('I cannot make out G6: point it out, or one closer photo.');
    expect(report.notes[0]).toBe('7 guides planned, 6 found; the one at 703 mm is not made out.');
    expect(reportTable(plan, report)).toMatch(/G6 .* not made out/);
  });
  test('where every photo of a place has something else over it, that is said', () => {
    const shown = { G6: { photos: ['1.jpg', '2.jpg'], bare: [], covered: ['1.jpg', '2.jpg'] } };
    const report = judgeRings({ G6: undefined }, {}, { shown });
    expect(item(report, 'G6')).toMatchObject({ sighting: 'not-made-out', coveredIn: ['1.jpg', '2.jpg'] });
    expect(item(report, 'G6').advice).toBe(
      'Something lies over the place of G6 in every photo of it, a hand or a tool perhaps: take it away, and one more photo there.',
    );
    expect(answerOf(report)).toBe('Something lies over G6: take it away, and one more photo there.');
  });
  test('beside what is wrong, what cannot be made out is said too, and nothing is ordered for it', () => {
    const shown = { G6: { photos: ['1.jpg'], bare: ['1.jpg'], covered: [] } };
    const report = judgeRings({ G6: undefined, G3: along(295) }, {}, { shown });
    expect(report.verdict).toBe('fix');
    expect(answerOf(report)).toBe('Move one guide. I cannot make out G6.');
  });
  test('a foot that points to the other end than planned', () => {
    const turned = judgeRings({ G4: { footToward: 'tip' } });
    expect(turned.verdict).toBe('fix');
    expect(item(turned, 'G4')).toMatchObject({ setWrongWay: true, alongVerdict: 'on' });
    expect(item(turned, 'G4').advice).toBe('Turn G4 round: its foot points to the wrong end.');
    expect(answerOf(turned)).toBe('Turn one guide round.');
    expect(reportTable(plan, turned)).toMatch(/G4 .* wrong way round/);
    expect(judgeRings({ G4: { footToward: 'butt' } }).verdict).toBe('ready');
  });
  test('what is unsettled says what would settle it', () => {
    const advice = (change: Partial<MeasuredPlace>) => {
      const report = judgeRings({ G6: change });
      expect(report.verdict).toBe('reshoot');
      return item(report, 'G6').advice;
    };
    expect(advice(roll(1, 1.2))).toBe('One more photo, over G6, tilted toward you.');
    expect(advice({ roll: undefined })).toBe('One more photo, over G6, tilted toward you.');
    expect(advice(along(703.2, 0.8))).toBe('One more photo, over G6, from straight above.');
    expect(advice({ ringOuter: undefined, ringInner: undefined })).toBe('One more photo, close over G6.');
    expect(advice(along(704.42))).toBe('G6 is at the very limit: slide it 1.4 mm toward the tip to be sure.');
    expect(advice(roll(-1.9))).toBe(
      'G6 is rolled to the very limit: turn it 1.9 degrees clockwise, seen from the butt, to be sure.',
    );
    // near the limit by its value, but known worse than the tolerance: a photo comes first
    expect(advice(along(704.42, 2))).toBe('One more photo, over G6, from straight above.');
    expect(advice(roll(-1.9, 10))).toBe('One more photo, over G6, tilted toward you.');
    expect(advice({ ...along(703.2, 0.8), parts: { scale: 0.78, geometry: 0.05, reading: 0.1, tip: 0.05 } })).toMatch(
      /^Measure the row of squares and the span again/,
    );
  });
  test('the photo that helps most is named by the builder’s words, with what it should do', () => {
    const photo: FurtherPhotoWanted = {
      over: { place: 5 },
      from: 'tip',
      height: 450,
      aim: { tile: 2, u: 60 },
      stand: { along: -225, across: 0 },
      expected: [0.3],
    };
    const asked: OpenVerdict[][] = [];
    const report = judgeRings(
      { G6: along(703.2, 0.8) },
      {},
      {
        furtherPhoto: (open) => {
          asked.push([...open]);
          return photo;
        },
      },
    );
    // 1.5 mm allowed, 0.2 mm off: a U of 1.3 settles it
    expect(asked).toEqual([[{ id: 'G6', place: 5, on: 'along', u: 0.8, needed: expect.closeTo(0.65, 3) }]]);
    expect(item(report, 'G6').advice).toBe(
      'One more photo of G6, from about 45 cm (18 in) up and about 23 cm (9 in) nearer to the tip, looking back at it: the doubt of G6 should fall from 1.6 to 0.6 mm, which would settle it.',
    );
    expect(report.nextPhoto).toMatchObject({ over: { id: 'G6' }, expects: [{ id: 'G6', settles: true }] });
    expect(parseReport(reportToText(report)).nextPhoto).toEqual(report.nextPhoto);
  });
  test('where no single photo helps, none is asked for', () => {
    const report = judgeRings({ G6: along(703.2, 0.8) }, {}, { furtherPhoto: () => undefined });
    expect(item(report, 'G6').advice).toMatch(/^No single photo makes G6 much surer/);
    expect(report.nextPhoto).toBeUndefined();
  });
  test('no photo is looked for where a move settles it, or all is settled', () => {
    const never = () => {
      throw new Error('asked');
    };
    for (const change of [{}, { G6: along(704.42) }, { G6: along(709) }])
      expect(() => judgeRings(change, {}, { furtherPhoto: never })).not.toThrow();
  });
  test('without a measured scale nothing is ready, and it is said', () => {
    const report = judgeRings({}, {}, { scale: { along: 1, across: 1, u: 0.0001, measured: false } });
    expect(report.verdict).toBe('reshoot');
    expect(report.notes.join(' ')).toMatch(/measure them to settle the rest/);
    expect(answerOf(report)).toMatch(/^Shoot again/);
  });
  test('set by hand goes where the builder pointed', () => {
    const report = judgeRings({ G6: { ...along(640), byHand: 'G6' } });
    expect(item(report, 'G6')).toMatchObject({ found: true, byHand: true, alongVerdict: 'off' });
    expect(report.extras).toEqual([]);
  });
});

describe('roll references', () => {
  const benchRolls = [-3.9, -3.5, -3.6, -2.7, -3.6, -8.2, -3.3];
  const places = guides.map((p, i) => placeOf(p, roll(benchRolls[i]!, 0.2)));
  test('the rings’ own common line is their median, its doubt included', () => {
    const report = judge(plan, shootOf('rings', 'guides'), measuredOf(places));
    expect(item(report, 'G3').roll?.value).toBeCloseTo(0, 9);
    expect(item(report, 'G6').roll?.value).toBeCloseTo(-4.6, 9);
    expect(item(report, 'G6').roll!.expanded).toBeGreaterThan(0.4);
    expect(item(report, 'G6').rollVerdict).toBe('off');
    expect(report.items.filter((i) => i.rollVerdict === 'on')).toHaveLength(6);
  });
  test('one ring alone has no common line: not ready', () => {
    const single = { ...plan, positions: [guides[0]!] };
    const report = judge(single, shootOf('rings', 'guides'), measuredOf([places[0]!]));
    expect(report.verdict).toBe('reshoot');
    expect(item(report, 'G1').rollVerdict).toBe('unsure');
    expect(report.notes.join(' ')).toMatch(/Lay the card in the reel seat/);
  });
  test('without its reference no ring has a roll, and it is said how to get one', () => {
    const bare = guides.map((p) => placeOf(p, { roll: undefined }));
    const report = judge(plan, shootOf('rings', 'seat-card'), measuredOf(bare));
    expect(report.verdict).toBe('reshoot');
    expect(item(report, 'G2').advice).toMatch(/^One more photo, with the card in the reel seat/);
    expect(report.notes.join(' ')).toMatch(/card in the reel seat/);
    const unread = judge(plan, shootOf('rings', 'guides'), measuredOf(bare));
    expect(item(unread, 'G2').advice).toBe('One more photo, over G2, tilted toward you.');
  });
  test('a stated angle from the spine line is taken off', () => {
    const opposite = guides.map((p) => placeOf(p, roll(-179.5)));
    const report = judge(plan, { ...shootOf('rings', 'spine-line'), rollAngle: 180 }, measuredOf(opposite));
    expect(item(report, 'G1').roll?.value).toBeCloseTo(0.5, 9);
    expect(report.verdict).toBe('ready');
  });
});

describe('marks', () => {
  test('every position is an item, and all in place is ready', () => {
    const report = judgeMarks(inPlace);
    expect(report.verdict).toBe('ready');
    expect(report.items.map((i) => i.kind)).toContain('hook-keeper');
    expect(item(report, 'G3')).toMatchObject({ colour: 'white', width: { value: 1.6 } });
    expect(item(report, 'G3').rollVerdict).toBeUndefined();
    expect(answerOf(report)).toBe('Every mark is in place.');
  });
  test('missing, misread by half an inch, extra', () => {
    const report = judgeMarks([11.1, 88, 184, 412, 536.3, 641, 703.1, 879.1, 1035.8]);
    expect(report.verdict).toBe('fix');
    expect(item(report, 'G3').advice).toBe(
      'The mark for G3 (291 mm) is missing: 1.jpg and 2.jpg show bare blank there.',
    );
    expect(item(report, 'G5').cause).toBe('Likely the tape was read wrong by half an inch.');
    expect(item(report, 'G5').advice).toBe('Move the mark for G5 12.7 mm toward the butt, to 549 mm.');
    expect(report.extras).toMatchObject([
      { kind: 'mark', along: { value: 641 }, advice: 'Wipe off the extra mark at 641.0 mm.' },
    ]);
    expect(answerOf(report)).toBe('Move one mark. One mark is missing. Wipe off one extra mark.');
  });
  test('where most are not made out, nothing is to be wiped off that may be something else', () => {
    const shown = Object.fromEntries(
      plan.positions.map(({ id }) => [id, { photos: ['1.jpg', '2.jpg'], bare: [], covered: [] }]),
    );
    const report = judgeMarks([641], { shown });
    expect(report.items.every((i) => i.sighting === 'not-made-out')).toBe(true);
    expect(report.extras[0]!.advice).toBe(
      'What lies at 641.0 mm may be a mark or not: look there before you take anything off.',
    );
    expect(answerOf(report)).toBe(
      'I cannot make out most of the marks: shoot again, in softer light, before you move anything.',
    );
  });
  test('where most are not made out, none is said to be missing: what shows bare there may not be the blank', () => {
    const bareIn = (bare: string[]) => ({ photos: ['1.jpg', '2.jpg'], bare, covered: [] });
    const shownWith = (bareCount: number) =>
      Object.fromEntries(plan.positions.map(({ id }, i) => [id, bareIn(i < bareCount ? ['1.jpg', '2.jpg'] : [])]));
    const few = judgeMarks([], { shown: shownWith(2) });
    expect(few.items.every((i) => i.sighting === 'not-made-out' && i.alongVerdict === 'unsure')).toBe(true);
    // what was found there may be something else: it is not to be moved, and is no pattern
    const [first, second] = plan.positions.slice(-2).map(({ at }) => at);
    const twoOff = judgeMarks([first! + 9, second! + 9], { shown: shownWith(0) });
    expect(twoOff.items.filter((i) => i.found && i.alongVerdict === 'unsure')).toHaveLength(2);
    expect(twoOff.patterns).toBeUndefined();
    const most = judgeMarks([plan.positions.at(-1)!.at], { shown: shownWith(plan.positions.length - 1) });
    expect(most.items.filter((i) => i.alongVerdict === 'missing')).toHaveLength(plan.positions.length - 1);
  });
  test('where not one mark shows, none is said to be missing: marks may be of the blank’s own colour', () => {
    const report = judgeMarks([]);
    expect(report.items.every((i) => i.sighting === 'not-made-out' && i.alongVerdict === 'unsure')).toBe(true);
    expect(answerOf(report)).toContain('I cannot make out most of the marks');
  });
  test('a mark 28 mm from a missing one is no misreading: missing and extra', () => {
    const report = judgeMarks([...inPlace.filter((_, i) => i !== 3), 319]);
    expect(item(report, 'G3').alongVerdict).toBe('missing');
    expect(report.extras).toMatchObject([{ along: { value: 319 } }]);
  });
  test('a doubled mark', () => {
    const report = judgeMarks([...inPlace, 294.3]);
    expect(report.verdict).toBe('fix');
    expect(report.extras).toMatchObject([
      { doubleOf: 'G3', advice: 'Two marks for G3: wipe off the one at 294.3 mm.' },
    ]);
  });
  test('all shifted: the note has the figure, the items say they are off with the others', () => {
    const report = judgeMarks(inPlace.map((v, i) => v + 3 + 0.1 * Math.sin(i)));
    expect(report.patterns?.map((p) => p.kind)).toEqual(['shift']);
    expect(report.notes[1]).toMatch(
      /^Every mark sits 3\.\d mm toward the butt, give or take 0\.\d mm: likely a slipped or bent tape hook\.$/,
    );
    expect(item(report, 'G4').cause).toBe('It is off along with all the others.');
  });
  test('all too long: the note has the percentage', () => {
    const report = judgeMarks(plan.positions.map((p, i) => 1.012 * p.at + 0.1 * Math.sin(i)));
    expect(report.notes[1]).toMatch(/^Every distance is 1\.2 % too long/);
  });
  test('counted from the wrong end', () => {
    const report = judgeMarks(plan.positions.map((p) => 1300 - p.at));
    expect(report.items.every((i) => i.found)).toBe(true);
    expect(report.notes[1]).toMatch(/from the wrong end/);
    expect(item(report, 'G1').cause).toBe('Likely counted from the butt end instead of the tip.');
  });
  test('an extra one division from a missing one is pointed out', () => {
    // G2's mark, ten centimetres short, has passed G1's: order along the rod leaves one missing and one extra.
    const values = [11, 84.2, 88, 291, 412, 549, 703, 879, 1036];
    const report = judgeMarks(values);
    expect(item(report, 'G2').alongVerdict).toBe('missing');
    expect(report.notes.join(' ')).toContain('stands ten centimetres from where G2 belongs');
  });
  test('a plan in inches speaks in inches', () => {
    const inches: Plan = {
      ...plan,
      unit: 'in',
      positions: plan.positions.map((p) => (p.id === 'G5' ? { ...p, at: 21.75 * 25.4 } : p)),
    };
    const report = judgeMarks(
      inPlace.filter((_, i) => i !== 5).map((v) => (v > 400 && v < 420 ? v + 25.4 / 8 : v)),
      {},
      inches,
    );
    expect(report.notes[0]).toBe('9 marks planned, 8 found; the one at 21 3/4 in is missing.');
    expect(item(report, 'G5').advice).toBe(
      'The mark for G5 (21 3/4 in) is missing: 1.jpg and 2.jpg show bare blank there.',
    );
    expect(item(report, 'G4').advice).toMatch(/^Move the mark for G4 1\/8 in toward the tip, to 16\.22 in\.$/);
  });
  test('a section counts from the rod’s tip while the mat counts from its own end', () => {
    const butt: Plan = {
      ...plan,
      section: { startsAt: 1200 },
      positions: plan.positions.map((p) => ({ ...p, at: p.at + 1200 })),
    };
    const report = judgeMarks(inPlace, {}, butt);
    expect(report.verdict).toBe('ready');
    expect(item(report, 'G3')).toMatchObject({ planned: 1491, along: { value: 1491.1 } });
  });
  test('nothing found is not a pass', () => {
    expect(judgeMarks([]).verdict).toBe('reshoot');
    expect(judgeMarks([], { shown: {} }).verdict).toBe('reshoot');
    expect(judge({ ...plan, positions: [] }, shootOf('rings'), measuredOf([])).verdict).toBe('reshoot');
  });
});

describe('no false pass (seeded simulation)', () => {
  test('a rod with one ring at the very limit passes in fewer than 1 in 25 tries, however coarse the measuring', () => {
    // Guard band of 2 u: there the chance of a pass is 2.3 % at most (JCGM 106:2012, 8.3, computed); 300 tries scatter.
    const normal = seededNormal(5);
    for (const u of [0.05, 0.2, 0.5]) {
      let passes = 0;
      for (let k = 0; k < 300; k++) {
        const places = guides.map((p) => placeOf(p, along(p.at + (p.id === 'G4' ? 1.5 : 0) + u * normal(), u)));
        if (judge(plan, shootOf('rings'), measuredOf(places)).verdict === 'ready') passes++;
      }
      expect(passes / 300).toBeLessThan(0.04);
    }
  }, 60_000);
});

describe("the tape's own scale", () => {
  const place = (id: string, offset: number): MeasuredPlace => {
    const along = plan.positions.find((p) => p.id === id)!.at + offset;
    return { along: { value: along, u: Math.hypot(0.07, 5e-4 * along) }, apart: 0.07 };
  };
  const places = guides.map(({ id }) => place(id, id === 'G7' ? 1.2 : 0));
  const scale = { along: 1, across: 1, u: 5e-4, measured: true };
  const item = (report: Report) => report.items.find(({ id }) => id === 'G7')!;

  test('counts where another tape measured the span, and cancels where the same did, but for reading it; both are reported', () => {
    const other = judge(plan, shootOf('rings'), measuredOf(places, { scale }));
    const same = judge(plan, shootOf('rings'), measuredOf(places, { scale: { ...scale, tape: 1e-4 } }));
    // 2 hypot(0.07, 0.44) = 0.89 against 2 hypot(0.07, 0.09) = 0.22, with 0.3 mm to the limit.
    expect(item(other).alongVerdict).toBe('unsure');
    expect(item(same).alongVerdict).toBe('on');
    for (const report of [other, same]) {
      expect(item(report).along!.apart).toBeCloseTo(0.14, 9);
      expect(item(report).along!.expanded).toBeCloseTo(2 * Math.hypot(0.07, 5e-4 * 880.2), 9);
    }
    expect([other.scale.shared, same.scale.shared]).toEqual([undefined, true]);
    expect(reportTable(plan, same)).toContain('its own scale cancels');
    expect(reportTable(plan, other)).not.toContain('its own scale cancels');
  });
});
