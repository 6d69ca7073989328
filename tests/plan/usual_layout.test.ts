import { describe, expect, it } from 'vitest';
import { layOut } from '../../src/plan/layouts/layout.ts';
import { parseLayout } from '../../src/plan/layouts/layout_file.ts';
import { suggestGuides, usualPractice } from '../../src/plan/layouts/rod_kind.ts';

const file = {
  schema: 'prewrap.layout/1',
  title: 'A rod',
  unit: 'mm',
  blank: { length: 2743.2, tipDiameter: 1.8, buttDiameter: 10, finish: 'dark' },
  guides: { set: 'fly, snake guides and two with rings' },
  layout: { kind: 'usual', rod: 'fly' },
} as Record<string, unknown>;

describe('usual places', () => {
  it('are counted by the foot, the last at a share of the way to the reel', () => {
    // 9 ft: 9 and 1 more; 0.73 of 2743.2
    const { guides, first, last } = suggestGuides(usualPractice.fly, { length: 2743.2, reelAt: 2743.2 });
    expect([guides, first]).toEqual([10, 110]);
    expect(last).toBeCloseTo(2002.536, 6);
    expect(suggestGuides(usualPractice.casting, { length: 2133.6, reelAt: 1800 }).guides).toBe(9);
    expect(suggestGuides(usualPractice.spinning, { length: 2133.6, reelAt: 1850 })).toMatchObject({
      guides: 8,
      last: 1332,
    });
    expect(() => suggestGuides({ ...usualPractice.fly, firstGap: 900 }, { length: 2743, reelAt: 2743 })).toThrow(
      'take fewer guides or a shorter first gap',
    );
  });

  it('lay a whole rod out from a set and a kind, with gaps that grow, and say the rule', () => {
    const { plan, notes, findings, growth } = layOut(parseLayout(file));
    const at = plan.positions.map((position) => position.at);
    expect(at).toHaveLength(10);
    expect(at[0]).toBeCloseTo(110, 6);
    expect(at.at(-1)).toBeCloseTo(2002.536, 6);
    expect(growth!.growth).toBeGreaterThan(1);
    expect(notes).toEqual([
      'A fly rod by common practice, no source: one guide for each foot of rod and 1 more, the first 110.0 mm from the tip, the last at 73 % of the way from tip to reel.',
    ]);
    expect(findings).toEqual([]);
  });

  it('change with each number of the rule', () => {
    const changed = (rule: object, guides: object = file.guides as object) =>
      layOut(parseLayout({ ...file, guides, layout: { kind: 'usual', rod: 'fly', ...rule } }));
    expect(changed({ guidesMore: 2 }).plan.positions).toHaveLength(11);
    expect(changed({ guidesPerFoot: 0.8 }).plan.positions).toHaveLength(8);
    expect(changed({ firstGap: 90 }).plan.positions[0]!.at).toBeCloseTo(90, 6);
    expect(changed({ lastShare: 0.6 }).plan.positions.at(-1)!.at).toBeCloseTo(0.6 * 2743.2, 6);
    expect(changed({ reelAt: 2600 }).plan.positions.at(-1)!.at).toBeCloseTo(0.73 * 2600, 6);
    const other = changed({}, { ...(file.guides as object), count: 8 });
    expect(other.plan.positions).toHaveLength(8);
    expect(other.notes[1]).toBe('It suggests 10 guides; this layout has 8.');
  });

  it.each<[object, string]>([
    [{ guides: { set: 'fly, snake guides and two with ring' } }, 'write "fly, snake guides and two with rings"'],
    [{ guides: { set: 'heavy boat' } }, 'known are "spinning, small running guides"'],
    [{ guides: { set: 'casting, low double feet', cuont: 4 } }, 'guides, cuont: is not known here; write "count"'],
    [{ layout: { kind: 'usual', rod: 'spinning' } }, 'layout, reelAt: is missing'],
    [{ layout: { kind: 'growth', growth: 'geometric', firstGap: 90, last: 900 } }, 'guides, count: is missing'],
    [{ guides: { set: 'casting, low double feet', count: 40 } }, 'would leave gaps that shrink'],
    [{ section: { startsAt: 900 }, guides: { set: 'casting, low double feet', count: 4 } }, 'leave "section" out'],
  ])('refuses %j in one sentence', (change, words) => {
    const whole = { ...file, ...change };
    expect(() => layOut(parseLayout(whole))).toThrow(words);
  });

  it('take the reel from the reel seat', () => {
    const fittings = [{ kind: 'reel-seat', from: 2300, to: 2420 }];
    const { plan } = layOut(parseLayout({ ...file, fittings, layout: { kind: 'usual', rod: 'casting' } }));
    expect(plan.positions.at(-1)!.at).toBeCloseTo(0.73 * 2360, 6);
  });
});
