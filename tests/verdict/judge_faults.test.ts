import { expect, test } from 'vitest';
import { type Plan, type Position, type RingGuide, ringOf } from '../../src/plan/plan.ts';
import { judge } from '../../src/verdict/judge.ts';
import type { MeasuredPlace } from '../../src/verdict/measured_shoot.ts';
import { seededNormal, seededUniform } from '../world/seeded_random.ts';

interface Real {
  /** the planned place this was meant for, none for an extra */
  id?: string;
  along: number;
  roll: number;
  guide?: RingGuide;
  touched?: boolean;
}
interface MadeUp {
  plan: Plan;
  real: Real[];
  faults: number;
}

const uniform = seededUniform(11);
const normal = seededNormal(12);
const between = (low: number, high: number) => low + (high - low) * uniform();
const pick = <T>(list: readonly T[]): T => list[Math.floor(uniform() * list.length)]!;
const either = () => pick([-1, 1]);

/** A rod of 6 to 9 guides built within tolerance, then given up to three faults far enough apart to be told apart. */
function makeUp(stage: 'marks' | 'rings'): MadeUp {
  const positions: Position[] = [{ id: 'T', kind: 'tip-wrap', at: 10 }];
  let at = between(80, 100);
  let [ringOuter, height] = [6, 5.5];
  const count = Math.floor(between(6, 10));
  for (let i = 0; i < count; i++) {
    if (i > 2) [ringOuter, height] = [Math.round(ringOuter * between(1.15, 1.4)), height * 1.4];
    const guide: RingGuide = { ringOuter, ringInner: 0.72 * ringOuter, height, lean: 0, foot: 'single' };
    positions.push({ id: `G${i + 1}`, kind: 'guide', at, guide });
    at += between(110, 120) + 14 * i;
  }
  positions.push({ id: 'K', kind: 'hook-keeper', at });
  const plan: Plan = {
    title: 'Made up',
    unit: 'mm',
    blank: { length: at + 150, tipDiameter: 1.7, buttDiameter: 11, finish: 'dark' },
    positions,
    tolerance: { along: 1.5, roll: 2 },
  };
  const real: Real[] = positions
    .filter((p) => stage === 'marks' || p.kind === 'guide')
    .map((p) => ({ id: p.id, along: p.at + between(-0.8, 0.8), roll: between(-0.9, 0.9), guide: ringOf(p.guide) }));
  let faults = 0;
  for (let tries = Math.floor(uniform() * 4); tries > 0; tries--) {
    const index = 1 + Math.floor(uniform() * (real.length - 2));
    const [before, item, after] = [real[index - 1], real[index], real[index + 1]];
    if (!before || !item || !after || before.touched || item.touched || after.touched) continue;
    const kind = pick(
      stage === 'marks' ? ['gone', 'misread', 'moved', 'extra'] : ['gone', 'moved', 'rolled', 'swapped', 'extra'],
    );
    if (kind === 'swapped' && item.guide?.ringOuter === after.guide?.ringOuter) continue;
    faults++;
    item.touched = true;
    if (kind === 'misread') item.along += either() * pick([10, 12.7, 25.4]);
    if (kind === 'moved') item.along += either() * between(3.5, 14);
    if (kind === 'rolled') item.roll = either() * between(4, 20);
    if (kind === 'swapped') {
      [item.guide, after.guide] = [after.guide, item.guide];
      after.touched = true;
    }
    if (kind === 'extra') {
      const place = (item.along + after.along) / 2 + between(-5, 5);
      real.splice(index + 1, 0, { along: place, roll: 0, guide: item.guide, touched: true });
    }
    if (kind === 'gone') {
      before.touched = true;
      real.splice(index, 1);
    }
  }
  return { plan, real, faults };
}

function measure(item: Real, stage: 'marks' | 'rings', u: number): MeasuredPlace {
  const along = { value: item.along + u * normal(), u };
  if (stage === 'marks' || !item.guide) return { along };
  const size = (value: number) => ({ value: value + 0.15 * normal(), u: 0.15 });
  return {
    along,
    roll: { value: item.roll + 0.3 * normal(), u: 0.3 },
    ringOuter: size(item.guide.ringOuter),
    ringInner: size(item.guide.ringInner),
    height: { value: item.guide.height + 0.2 * normal(), u: 0.2 },
  };
}

const bareEverywhere = (plan: Plan) =>
  Object.fromEntries(
    plan.positions.map(({ id }) => [id, { photos: ['1.jpg', '2.jpg'], bare: ['1.jpg', '2.jpg'], covered: [] }]),
  );

test.each(['marks', 'rings'] as const)(
  'made-up %s: every fault is found for what it is, none is passed',
  (stage) => {
    let ready = 0;
    let sound = 0;
    for (let k = 0; k < 150; k++) {
      const { plan, real, faults } = makeUp(stage);
      const places = real.map((item) => measure(item, stage, 0.12));
      const report = judge(
        plan,
        { stage, photos: [], mat: {}, rest: { kind: 'flat' }, rollReference: 'seat-card' },
        {
          places,
          photos: [],
          scale: { along: 1, across: 1, u: 5e-5, measured: true },
          shown: bareEverywhere(plan),
          notes: [],
        },
      );
      if (faults > 0) expect(report.verdict).toBe('fix');
      else sound++;
      if (report.verdict === 'ready') ready++;
      for (const item of report.items) {
        const truth = real.find((r) => r.id === item.id);
        expect(item.found, `${item.id} found`).toBe(truth !== undefined);
        if (!truth || !item.along) continue;
        expect(Math.abs(item.along.value - truth.along), item.id).toBeLessThan(0.8);
        const off = Math.abs(truth.along - item.planned) > plan.tolerance.along;
        expect(item.alongVerdict).toBe(off ? 'off' : 'on');
        const planned = ringOf(plan.positions.find((p) => p.id === item.id)?.guide);
        if (stage === 'rings' && planned && truth.guide?.ringOuter !== planned.ringOuter)
          expect(item.guideVerdict).toBe('different');
      }
      const extras = real.filter((r) => r.id === undefined).map((r) => r.along);
      expect(report.extras).toHaveLength(extras.length);
      for (const extra of report.extras) expect(extras.some((x) => Math.abs(x - extra.along.value) < 2)).toBe(true);
    }
    expect(sound).toBeGreaterThan(20);
    expect(ready / sound).toBeGreaterThan(0.8);
  },
  60_000,
);
