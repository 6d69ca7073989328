import { describe, expect, test } from 'vitest';
import type { Plan, Position, TipTop } from '../../src/plan/plan.ts';
import type { Shoot } from '../../src/plan/shoot.ts';
import { answerOf } from '../../src/verdict/answer.ts';
import { judge } from '../../src/verdict/judge.ts';
import type { MeasuredPlace, MeasuredShoot, MeasuredTipTop } from '../../src/verdict/measured_shoot.ts';
import { parseReport, reportToText } from '../../src/verdict/report_file.ts';
import { reportTable } from '../../src/verdict/report_table.ts';

const tipTop: TipTop = { ringOuter: 5, ringInner: 3.6, tubeLength: 6, tubeInner: 1.5 };
const ring = (id: string, at: number, roll?: number): Position => ({
  id,
  kind: 'guide',
  at,
  guide: { ringOuter: 8, ringInner: 5.8, height: 10, lean: 3, foot: 'single', ...(roll !== undefined && { roll }) },
});
const snake = (id: string, at: number): Position => ({
  id,
  kind: 'guide',
  at,
  guide: { type: 'snake', length: 14, height: 4.5, wire: 0.8 },
});
const planOf = (positions: Position[], more: Partial<Plan> = {}): Plan => ({
  title: 'New kinds',
  unit: 'mm',
  blank: { length: 1300, tipDiameter: 1.8, buttDiameter: 11, finish: 'dark' },
  positions,
  tolerance: { along: 1.5, roll: 2 },
  ...more,
});
const shootOf = (stage: Shoot['stage'], rollReference: Shoot['rollReference'] = 'seat-card'): Shoot => ({
  stage,
  photos: ['1.jpg'],
  mat: {},
  rest: { kind: 'flat' },
  rollReference,
});
const ringAt = (value: number, roll = 0.3): MeasuredPlace => ({
  along: { value, u: 0.1 },
  roll: { value: roll, u: 0.3 },
  ringOuter: { value: 8, u: 0.15 },
  ringInner: { value: 5.8, u: 0.15 },
  height: { value: 10, u: 0.3 },
});
const snakeAt = (value: number, length = 14.1): MeasuredPlace => ({
  type: 'snake',
  along: { value, u: 0.2 },
  roll: { value: 0.3, u: 0.4 },
  height: { value: 4.6, u: 0.2 },
  length: { value: length, u: 0.3 },
});
/** Two photos show every place, and bare blank where nothing stands. */
const bareEverywhere = new Proxy<MeasuredShoot['shown']>(
  {},
  { get: () => ({ photos: ['1.jpg', '2.jpg'], bare: ['1.jpg', '2.jpg'], covered: [] }) },
);
const measuredOf = (places: MeasuredPlace[], more: Partial<MeasuredShoot> = {}): MeasuredShoot => ({
  places,
  photos: [{ file: '1.jpg', tags: 20, residual: 0.15, problems: [] }],
  scale: { along: 1, across: 1, u: 1e-4, measured: true },
  tip: 0.1,
  shown: bareEverywhere,
  notes: [],
  ...more,
});

describe('planned roll', () => {
  const spiral = planOf([
    ring('G1', 90, 180),
    ring('G2', 200, 120),
    ring('G3', 330, 60),
    ring('G4', 480),
    ring('G5', 650),
  ]);
  const rolls = [180.4, 120.2, 66, 0.3, -0.2];
  const places = spiral.positions.map(({ at }, i) => ringAt(at, rolls[i]));

  test('each guide is held against its own, and turned back the shorter way', () => {
    const report = judge(spiral, shootOf('rings'), measuredOf(places));
    expect(report.items.map((i) => i.rollVerdict)).toEqual(['on', 'on', 'off', 'on', 'on']);
    expect(report.items[2]).toMatchObject({ roll: { value: 66 }, plannedRoll: 60 });
    expect(report.items[2]!.advice).toBe('Turn G3 6 degrees counter-clockwise, seen from the butt.');
    expect(report.items[3]).not.toHaveProperty('plannedRoll');
    expect(reportToText(parseReport(reportToText(report)))).toBe(reportToText(report));
  });

  test('the guides as their own reference: one turned on the bench with the rod is none', () => {
    const turned = places.map((p) => ({ ...p, roll: { value: p.roll!.value - 7, u: 0.3 } }));
    const report = judge(spiral, shootOf('rings', 'guides'), measuredOf(turned));
    expect(report.items.map((i) => i.rollVerdict)).toEqual(['on', 'on', 'off', 'on', 'on']);
  });

  test('a guide upside down is off by half a turn either side of the cut', () => {
    const under = planOf([ring('G1', 90, 180), ring('G2', 200, -180)]);
    const report = judge(under, shootOf('rings'), measuredOf([ringAt(90, -179.5), ringAt(200, 179.5)]));
    expect(report.items.map((i) => i.rollVerdict)).toEqual(['on', 'on']);
  });
});

describe('tip-top', () => {
  const plan = planOf([ring('G1', 90), ring('G2', 200)], { tipTop });
  const check = (seen: MeasuredTipTop | undefined, stage: Shoot['stage'] = 'rings', own = plan) =>
    judge(own, shootOf(stage), measuredOf([ringAt(90), ringAt(200)], seen && { tipTop: seen }));
  const found = (value: number, u = 0.3): MeasuredTipTop => ({ sighting: 'found', roll: { value, u } });

  test('in line: the rod is ready', () => {
    const report = check(found(0.5));
    expect(report).toMatchObject({ verdict: 'ready', tipTop: { sighting: 'found', rollVerdict: 'on' } });
    expect(reportToText(parseReport(reportToText(report)))).toBe(reportToText(report));
  });

  test('turned: said with its side and reference, and the rod is not ready', () => {
    const report = check(found(4));
    expect(report.verdict).toBe('fix');
    expect(report.tipTop!.advice).toContain(
      'The tip-top is turned 4 degrees clockwise seen from the butt, against the reel seat.',
    );
    expect(answerOf(report)).toBe('Turn the tip-top.');
    expect(reportTable(plan, report)).toContain('rolled');
  });

  test('turned as planned: in line', () => {
    const own = planOf(plan.positions, { tipTop: { ...tipTop, roll: 180 } });
    expect(check(found(-179.6), 'rings', own).tipTop!.rollVerdict).toBe('on');
    expect(check(found(0.2), 'rings', own).tipTop!.rollVerdict).toBe('off');
  });

  test.each(['not-made-out', 'in-no-photo'] as const)('%s: no pass, and one photo is asked for', (sighting) => {
    const report = check({ sighting });
    expect(report.verdict).toBe('reshoot');
    expect(answerOf(report)).toBe('Shoot again: the tip-top is not settled.');
  });

  test('no word of it is no pass either; in a marks shoot it is not looked at', () => {
    expect(check(undefined).verdict).toBe('reshoot');
    expect(check(undefined, 'marks')).not.toHaveProperty('tipTop');
  });

  test('a roll too loosely known is not passed', () => {
    expect(check(found(1.5, 0.6))).toMatchObject({ verdict: 'reshoot', tipTop: { rollVerdict: 'unsure' } });
  });

  test('places count from the datum that was measured', () => {
    const own = planOf([ring('G1', 90), ring('G2', 200)], { tipTop, datum: 'tip-top-ring' });
    const places = [ringAt(88.4), ringAt(198.4)];
    const report = judge(own, shootOf('rings'), measuredOf(places, { start: 1.6, tipTop: found(0) }));
    expect(report.items.map((i) => i.along!.value)).toEqual([90, 200]);
    expect(report.verdict).toBe('ready');
  });
});

describe('snake guides', () => {
  const plan = planOf([snake('G1', 90), snake('G2', 200), ring('G3', 400)]);
  const check = (places: MeasuredPlace[]) => judge(plan, shootOf('rings'), measuredOf(places));

  test('as planned: the rod is ready', () => {
    expect(check([snakeAt(90), snakeAt(200), ringAt(400)]).verdict).toBe('ready');
  });

  test('one that cannot be made out is not asked to be pointed out: it has no ring to point round', () => {
    const shown = { G1: { photos: ['1.jpg'], bare: [], covered: [] } };
    const report = judge(plan, shootOf('rings'), measuredOf([snakeAt(200), ringAt(400)], { shown }));
    expect(report.items[0]).toMatchObject({ sighting: 'not-made-out', alongVerdict: 'unsure' });
    expect(report.items[0]!.advice).toBe(
      'The photos show 90 mm, but I cannot make out the guide G1: one closer photo.',
    );
  });

  test('a length guessed from its arch calls no snake guide another one', () => {
    const report = check([snakeAt(90, 24), snakeAt(200), ringAt(400)]);
    expect(report.items[0]!.guideVerdict).toBe('unsure');
    expect(report.verdict).toBe('reshoot');
  });

  test('where photos do not agree on its kind, nothing is said of its make', () => {
    const report = check([{ ...ringAt(90), typeDoubted: true }, snakeAt(200), ringAt(400)]);
    expect(report.items[0]!.guideVerdict).toBe('unsure');
  });

  test('what may be something else is neither moved nor turned nor turned round: one more photo first', () => {
    const doubted = { ...ringAt(415, 40), typeDoubted: true, footToward: 'tip' as const };
    const report = check([snakeAt(90), snakeAt(200), doubted]);
    expect(report.items[2]).toMatchObject({ found: true, alongVerdict: 'unsure', rollVerdict: 'unsure' });
    expect(report.items[2]!.setWrongWay).toBeUndefined();
    expect(report.items[2]!.advice).toMatch(/^One more photo/);
    expect(report.verdict).toBe('reshoot');
    const plain = check([snakeAt(90), snakeAt(200), ringAt(415, 40)]);
    expect(plain.items[2]).toMatchObject({ alongVerdict: 'off', rollVerdict: 'off' });
  });

  test('another kind of guide than planned is another guide', () => {
    const report = check([ringAt(90), snakeAt(200), snakeAt(400, 19)]);
    expect(report.items.map((i) => i.guideVerdict)).toEqual(['different', 'as-planned', 'different']);
    expect(report.items[0]!.cause).toBe('There is a guide with a ring where a snake guide is planned.');
    expect(report.items[2]!.cause).toBe('There is a snake guide where one with a ring is planned.');
    expect(report.verdict).toBe('fix');
  });
});

describe('wrapped guides', () => {
  const plan = planOf([ring('G1', 90), ring('G2', 200), ring('G3', 330)]);
  const check = (places: MeasuredPlace[]) => judge(plan, shootOf('wrapped'), measuredOf(places));

  test('in place: ready for the epoxy', () => {
    const report = check([ringAt(90), ringAt(200), ringAt(330)]);
    expect(report).toMatchObject({ stage: 'wrapped', verdict: 'ready' });
    expect(answerOf(report)).toBe('Ready for the epoxy.');
  });

  test('off and rolled: said as what comes before the epoxy, with how to move what thread holds', () => {
    const report = check([ringAt(90, 5), ringAt(203), ringAt(330)]);
    expect(answerOf(report)).toBe('Before the epoxy: move two guides.');
    expect(report.items[1]!.advice).toBe('Slide G2 3.0 mm toward the tip.');
    expect(report.notes.join(' ')).toContain('under its thread');
  });
});
