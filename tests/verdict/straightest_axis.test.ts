import { describe, expect, test } from 'vitest';
import type { ReportBlank } from '../../src/verdict/report.ts';
import { straightestAxis } from '../../src/verdict/straightest_axis.ts';
import { straightestSentences } from '../../src/verdict/straightest_text.ts';
import { seededNormal, seededUniform } from '../world/seeded_random.ts';

const length = 1500;

/** A blank that bows in one plane, toward `roll`, with a sweep across it that turns over at the middle. */
interface OwnBow {
  bow: number;
  roll: number;
  sweep: number;
}

/** What a shoot would say: the bow sideways at this turn, a smooth error on top, and a height that gravity spoils. */
function shot(own: OwnBow, turn: number, off: number, error: (s: number) => number, u: number): ReportBlank {
  const along = Array.from({ length: length / 25 + 1 }, (_, i) => 25 * i);
  const radians = (degrees: number) => (degrees * Math.PI) / 180;
  const angle = radians(own.roll + turn + off);
  const side = (s: number) => {
    const [main, across] = [
      own.bow * Math.sin((Math.PI * s) / length),
      own.sweep * Math.sin((2 * Math.PI * s) / length),
    ];
    return main * Math.sin(angle) + across * Math.cos(angle);
  };
  return {
    diameters: along.map((s) => [s, 5, 0.1]),
    bow: along.map((s) => [s, side(s) + error(s), -4 * Math.sin((Math.PI * s) / length)]),
    bowExpanded: along.map(() => [2 * u, 1]),
    turn,
    lies: 'flat',
  };
}

const none = () => 0;
const quarters = [0, 90, 180, 270];
const apart = (a: number, b: number) => Math.abs(((a - b + 540) % 360) - 180);

describe('the straightest axis of a blank', () => {
  test('is told exactly from four exact quarters, whatever its height did', () => {
    const own = { bow: 3.7, roll: -23, sweep: 0.4 };
    const axis = straightestAxis(quarters.map((turn) => shot(own, turn, 0, none, 0.05)));
    expect(apart(axis.roll.value, own.roll)).toBeLessThan(0.5);
    expect(axis.bow.value).toBeCloseTo(3.7, 1);
    expect(axis.bow.along).toBe(750);
    expect(axis.sweep.value).toBeCloseTo(0.4, 1);
    // With a line 67 degrees clockwise on top the bow lies square to it.
    const most = axis.against.reduce((a, b) => (b.side > a.side ? b : a));
    expect(most.roll).toBe(60);
    expect(most.side).toBeGreaterThan(3.6);
  });

  test('lies within its doubt where turns are set by eye and every shoot errs', () => {
    const uniform = seededUniform(5);
    const normal = seededNormal(6);
    let [rolls, bows] = [0, 0];
    const draws = 200;
    for (let draw = 0; draw < draws; draw++) {
      const own = { bow: 0.8 + 4 * uniform(), roll: 360 * uniform() - 180, sweep: 0.3 * uniform() };
      const u = 0.04 + 0.06 * uniform();
      const shoots = quarters.map((turn, i) => {
        const [a, b] = [u * normal(), 0.5 * u * normal()];
        const error = (s: number) => a * Math.sin((Math.PI * s) / length) + b * Math.sin((2 * Math.PI * s) / length);
        return shot(own, turn, i === 0 ? 0 : 2.5 * normal(), error, u);
      });
      const axis = straightestAxis(shoots);
      if (apart(axis.roll.value, own.roll) <= axis.roll.expanded) rolls++;
      if (Math.abs(axis.bow.value - own.bow) <= axis.bow.expanded) bows++;
      expect(axis.roll.expanded).toBeLessThan(25);
    }
    expect(rolls / draws).toBeGreaterThan(0.93);
    expect(bows / draws).toBeGreaterThan(0.93);
  });

  test('a drawn line is told against it, from any shoot that shows the line, and where shoots disagree by how much', () => {
    const own = { bow: 3, roll: -23, sweep: 0.2 };
    const drawn = 40;
    const withLine = (turn: number, misread = 0): ReportBlank => ({
      ...shot(own, turn, 0, none, 0.05),
      line: { from: 200, to: 500, roll: { value: drawn + turn + misread, expanded: 2 } },
    });
    const at = (turn: number) => shot(own, turn, 0, none, 0.05);
    for (const blanks of [
      [withLine(0), at(90), at(180), at(270)],
      [at(0), at(90), at(180), withLine(270)],
      [at(0), at(90), withLine(180), withLine(270)],
    ]) {
      const { line } = straightestAxis(blanks);
      expect(apart(line!.roll.value, drawn)).toBeLessThan(0.5);
      expect(apart(line!.fromBow.value, 63)).toBeLessThan(1);
      expect(line!.up).toBeCloseTo(3 * Math.cos((63 * Math.PI) / 180), 0);
      expect(line!.side).toBeCloseTo(3 * Math.sin((63 * Math.PI) / 180), 0);
    }
    // the turn of a later shoot was set by eye
    const of = (blanks: ReportBlank[]) => straightestAxis(blanks).line!.roll.expanded;
    expect(of([withLine(0), at(90), at(180), at(270)])).toBeCloseTo(2, 6);
    expect(of([at(0), withLine(90), at(180), at(270)])).toBeCloseTo(Math.hypot(2, 5), 6);
    expect(of([withLine(0), withLine(90, 20), at(180), at(270)])).toBeGreaterThan(10);
    expect(straightestAxis([at(0), at(90), at(180), at(270)]).line).toBeUndefined();
  });

  test('is said of a drawn line: the bow’s side, the side it bows away from, or how far off and what bow is left', () => {
    const own = { bow: 3, roll: 30, sweep: 0 };
    const say = (roll: number, bow = 3) =>
      straightestSentences(
        straightestAxis(
          quarters.map((turn) => ({
            ...shot({ ...own, bow }, turn, 0, none, bow < 1 ? 0.2 : 0.05),
            ...(turn === 0 && { line: { from: 200, to: 400, roll: { value: roll, expanded: 2 } } }),
          })),
        ),
        'mm',
      ).join(' ');
    expect(say(31)).toMatch(
      /lies on the side its middle stands out toward, .* bows up by 3\.0 mm and to the side by 0\.1 mm/,
    );
    expect(say(-150)).toMatch(/lies on the side its middle bows away from, .* bows down by 3\.0 mm/);
    expect(say(-60)).toMatch(/lies 90 degrees counter-clockwise of the side .* to the side by 3\.0 mm/);
    expect(say(30, 0.1)).toContain('The one drawn on it will do.');
  });

  test('is not told from one side, or from one side and its opposite, or without a turn', () => {
    const own = { bow: 2, roll: 30, sweep: 0 };
    const at = (turn: number) => shot(own, turn, 0, none, 0.05);
    expect(() => straightestAxis([at(0)])).toThrow('turn it a quarter');
    expect(() => straightestAxis([at(0), at(180)])).toThrow('turn it a quarter');
    const { turn: _, ...unsaid } = at(90);
    expect(() => straightestAxis([at(0), unsaid])).toThrow('how far it was turned');
  });

  test('says where to draw the line, and that it is straight where the bow drowns in its doubt', () => {
    const say = (own: OwnBow, u: number) =>
      straightestSentences(straightestAxis(quarters.map((turn) => shot(own, turn, 0, none, u))), 'mm').join(' ');
    const said = say({ bow: 3, roll: 40, sweep: 0 }, 0.05);
    expect(said).toContain('draw their line 40 degrees clockwise from the top');
    expect(said).toContain('bows away from, 140 degrees counter-clockwise from the top');
    expect(say({ bow: 0.1, roll: 40, sweep: 0 }, 0.2)).toContain('straight as far as the shoots tell');
  });
});
