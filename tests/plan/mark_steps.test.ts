import { describe, expect, it } from 'vitest';
import { markSteps, nextStep } from '../../src/plan/bench/mark_steps.ts';
import { planFindings } from '../../src/plan/findings/plan_findings.ts';
import { markList } from '../../src/plan/layouts/mark_list.ts';
import type { Plan, SnakeGuide } from '../../src/plan/plan.ts';

const snake: SnakeGuide = { type: 'snake', length: 13, height: 4.4, wire: 0.8 };
const plan: Plan = {
  title: 'A rod',
  unit: 'mm',
  blank: { length: 1000, tipDiameter: 2, buttDiameter: 9, finish: 'dark' },
  positions: [100, 210.3, 340, 500].map((at, k) => ({ id: `G${k + 1}`, kind: 'guide', at, guide: snake })),
  tolerance: { along: 1.5, roll: 2 },
};
const walk = (datum: Parameters<typeof markList>[1]) =>
  markSteps([markList(plan, datum)]).map(({ row, gap, after }) => [row.id, row.reading, gap, after]);

describe('marking off', () => {
  it('walks outward from the tape’s zero, with the gap as the tape reads it', () => {
    expect(walk({ datum: { from: 'tip' } })).toEqual([
      ['G1', 100, 100, undefined],
      ['G2', 210.5, 110.5, 'G1'],
      ['G3', 340, 129.5, 'G2'],
      ['G4', 500, 160, 'G3'],
    ]);
    expect(walk({ datum: { from: 'butt' } })[0]).toEqual(['G4', 500, 500, undefined]);
    expect(walk({ datum: { from: 'butt' } })[1]).toEqual(['G3', 660, 160, 'G4']);
    expect(walk({ datum: { from: 'ferrule', at: 300 } }).map(([id, , gap, after]) => [id, gap, after])).toEqual([
      ['G3', 40, undefined],
      ['G4', 160, 'G3'],
      ['G2', 89.5, undefined],
      ['G1', 110.5, 'G2'],
    ]);
  });

  it('goes on with the first that is open, and a place moved since is open again', () => {
    const steps = markSteps([markList(plan)]);
    const done = new Set([steps[0]!.key, steps[2]!.key]);
    expect(nextStep(steps, done)).toBe(1);
    expect(nextStep(steps, done, 2)).toBe(3);
    expect(nextStep(steps, new Set([...done, steps[3]!.key]), 3)).toBe(1);
    expect(nextStep(steps, new Set(steps.map(({ key }) => key)))).toBeUndefined();
    const moved = { ...plan, positions: plan.positions.with(0, { ...plan.positions[0]!, at: 101 }) };
    expect(nextStep(markSteps([markList(moved)]), done)).toBe(0);
    // another tape or another end does not undo what is marked
    expect(nextStep(markSteps([markList(plan, { datum: { from: 'butt' }, division: '1/16 in' })]), done)).toBe(0);
    expect(markSteps([markList(plan, { datum: { from: 'butt' } })]).filter(({ key }) => done.has(key))).toHaveLength(2);
  });

  it('counts snake guides by their length beside rings by their diameter', () => {
    const bag = (count: number) => planFindings(plan, { bag: [{ snakeLength: 13.1, count }] });
    expect(bag(4)).toEqual([]);
    expect(bag(3).map(({ text }) => text)).toEqual([
      'The plan has 4 guides, the bag 3.',
      'Of snake guides 13.0 mm long the plan has 4, the bag 3.',
    ]);
    // rings of that diameter are none of them
    expect(planFindings(plan, { bag: [{ ringOuter: 13, count: 4 }] })).toHaveLength(2);
  });
});
