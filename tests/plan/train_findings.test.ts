import { describe, expect, it } from 'vitest';
import { planFindings } from '../../src/plan/findings/plan_findings.ts';
import { guidesOfTrain, startingTrains } from '../../src/plan/layouts/guide_trains.ts';
import type { Guide, Plan, RingGuide, TipTop } from '../../src/plan/plan.ts';

const ring = (ringOuter: number, height: number): RingGuide => ({
  ringOuter,
  ringInner: 0.72 * ringOuter,
  height,
  lean: 0,
  foot: 'single',
});
const rod = (guides: readonly Guide[], tipTop?: TipTop): Plan => ({
  title: 'A rod',
  unit: 'mm',
  blank: { length: 2400, tipDiameter: 1.8, buttDiameter: 12, finish: 'dark' },
  positions: guides.map((guide, k) => ({ id: `G${k + 1}`, kind: 'guide', at: 100 * (k + 1) + 10 * k * k, guide })),
  tolerance: { along: 1.5, roll: 2 },
  ...(tipTop && { tipTop }),
});
const tipTop: TipTop = { ringOuter: 6, ringInner: 4.32, tubeLength: 8, tubeInner: 1.95 };

describe('a train of guides', () => {
  it('is told where a guide stands higher than the one nearer the reel, once a pair', () => {
    expect(planFindings(rod([ring(6, 6.5), ring(8, 16), ring(10, 15), ring(16, 22)]))).toMatchObject([
      {
        rule: 'ring-heights',
        items: ['G2', 'G3'],
        by: 1,
        text: 'G2 stands higher (16.0 mm) than G3 (15.0 mm), which is nearer the reel, so the line would climb again on its way to the tip.',
      },
    ]);
    // the larger ring is told by its size, its height not again
    expect(planFindings(rod([ring(6, 6.5), ring(12, 16), ring(10, 15), ring(16, 22)]))).toMatchObject([
      { rule: 'ring-sizes', items: ['G2', 'G3'] },
    ]);
  });

  it('is told where the tip-top is narrower than the guide beside it', () => {
    const [found, ...rest] = planFindings(rod([ring(8, 8), ring(8, 8)], tipTop));
    expect(rest).toEqual([]);
    expect(found).toMatchObject({ rule: 'ring-sizes', items: ['G1'] });
    expect(found!.by).toBeCloseTo(0.72 * 2, 9);
    expect(planFindings(rod([ring(6, 7), ring(8, 8)], tipTop))).toEqual([]);
  });

  it.each(startingTrains.map((train) => [train.name, train] as const))('%s holds for 1 to 14 guides', (_, train) => {
    for (let count = 1; count <= 14; count++) {
      const guides = guidesOfTrain(train, count);
      expect(guides).toHaveLength(count);
      expect(guides.at(-1)).toBe(train.leading.at(-1));
      const plan = rod(guides, count > train.leading.length ? train.tipTop : undefined);
      const broken = planFindings({ ...plan, blank: { ...plan.blank, length: 4000 } });
      expect(broken.filter(({ rule }) => rule.startsWith('ring'))).toEqual([]);
    }
  });
});
