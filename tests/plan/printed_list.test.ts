import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { layOut } from '../../src/plan/layouts/layout.ts';
import { type MarkDatum, markList, markListCsv, markListText } from '../../src/plan/layouts/mark_list.ts';
import type { LengthDisplay } from '../../src/plan/lengths/length_text.ts';
import { formatLength } from '../../src/plan/lengths/length_text.ts';
import { displayOf, type TapeDivision, tapeDivisions } from '../../src/plan/lengths/tape_reading.ts';
import { readPastedList } from '../../src/plan/lists/pasted_list.ts';
import type { Plan, Position } from '../../src/plan/plan.ts';

const ring = { ringOuter: 8, ringInner: 5.8, height: 10, lean: 3, foot: 'single' as const, footLength: 9, reach: 2 };
const kinds = ['guide', 'guide', 'guide', 'tip-wrap', 'ferrule-wrap', 'hook-keeper'] as const;

const plans: fc.Arbitrary<Plan> = fc
  .record({
    unit: fc.constantFrom('mm' as const, 'in' as const),
    gaps: fc.array(fc.tuple(fc.double({ min: 5, max: 200, noNaN: true }), fc.constantFrom(...kinds)), {
      minLength: 1,
      maxLength: 12,
    }),
    startsAt: fc.constantFrom(0, 712.5),
    prefix: fc.constantFrom('G', 'Guide ', 'P-', 'n'),
  })
  .map(({ unit, gaps, startsAt, prefix }): Plan => {
    let at = startsAt;
    const positions = gaps.map(([gap, kind], k): Position => {
      at += gap;
      return { id: `${prefix}${k + 1}`, kind, at, ...(kind === 'guide' && { guide: ring }) };
    });
    return {
      title: 'Any rod',
      unit,
      blank: { length: at - startsAt + 300, tipDiameter: 1.7, buttDiameter: 11, finish: 'dark' },
      positions,
      tolerance: { along: 1.5, roll: 2 },
      ...(startsAt > 0 && { section: { startsAt } }),
    };
  });

describe('a plan printed and pasted back is the same plan', () => {
  const readBack = (text: string, plan: Plan, datum: MarkDatum, unit: 'mm' | 'in') =>
    readPastedList(text, {
      unit,
      end: (plan.section?.startsAt ?? 0) + plan.blank.length,
      ...(datum.from === 'ferrule' && { ferrule: datum.at }),
    });

  it.each(['text', 'csv'] as const)(
    'as %s, in any unit, from any datum, whatever unit is meant',
    (form) => {
      fc.assert(
        fc.property(
          plans,
          fc.constantFrom(...tapeDivisions),
          fc.constantFrom('tip', 'butt', 'ferrule'),
          fc.constantFrom<LengthDisplay | undefined>('mm', 'in', 'in-fraction', undefined),
          fc.constantFrom('mm' as const, 'in' as const),
          (plan, division: TapeDivision, from, chosen, meant) => {
            const datum: MarkDatum =
              from === 'ferrule' ? { from, at: plan.section?.startsAt || 400 } : { from: from as 'tip' };
            const list = markList(plan, { datum, division });
            const display = chosen ?? displayOf(division);
            const text = form === 'csv' ? markListCsv(list, display) : markListText(list, display);
            const { lines, questions } = readBack(text, plan, datum, meant);
            expect(questions).toEqual([]);
            const read = lines.flatMap((line) => (line.outcome === 'position' ? [line] : []));
            expect(read.map(({ label, kind }) => [label, kind])).toEqual(
              plan.positions.map(({ id, kind }) => [id, kind]),
            );
            for (const [k, { mm }] of read.entries()) expect(Math.abs(mm - plan.positions[k]!.at)).toBeLessThan(0.0051);
          },
        ),
        { numRuns: 150 },
      );
    },
    30_000,
  );

  it('as bare lines in any of the ways a length is shown', () => {
    fc.assert(
      fc.property(
        plans,
        fc.constantFrom<LengthDisplay>('mm', 'in', 'in-fraction'),
        fc.constantFrom('', 'G{} ', '{}) ', 'G{}: ', 'G{}\t', 'Guide {} - '),
        (plan, display, label) => {
          const text = plan.positions
            .map(
              ({ at }, k) =>
                `${label.replace('{}', String(k + 1))}${formatLength(at, display, { denominator: 64, mmDecimals: 2 })}`,
            )
            .join('\n');
          const { lines } = readPastedList(text, { unit: 'mm' });
          for (const [k, line] of lines.entries()) {
            // "G1 13/64" may as well be G at 1 13/64
            const open = display === 'in-fraction' && (label === 'G{} ' || label === 'Guide {} - ');
            if (!open) expect(line.outcome).toBe('position');
            if (line.outcome !== 'position') continue;
            const finest = display === 'in-fraction' ? 25.4 / 128 : 0.013;
            expect(Math.abs(line.mm - plan.positions[k]!.at)).toBeLessThan(finest + 1e-9);
          }
        },
      ),
      { numRuns: 150 },
    );
  }, 30_000);

  it('as the text of a layout', () => {
    const plan = {
      title: 'A rod',
      unit: 'mm' as const,
      blank: { length: 1418, tipDiameter: 1.7, buttDiameter: 11.4, finish: 'dark' as const },
      tolerance: { along: 1.5, roll: 2 },
    };
    const laid = (text: string) =>
      layOut({
        plan,
        guides: [{ guide: ring }, { guide: ring }, { guide: { ...ring, ringOuter: 16 } }],
        others: [],
        layout: { kind: 'entered', text },
      }).plan.positions;
    const from = laid('92\n196\n314');
    expect(from.map(({ at, guide }) => [at, guide && 'ringOuter' in guide ? guide.ringOuter : 0])).toEqual([
      [92, 8],
      [196, 8],
      [314, 16],
    ]);
    // rings are described from tip to butt, so a list that runs the other way gives the same rod
    expect(laid('314\n196\n92').map(({ at, guide }) => [at, guide])).toEqual(from.map(({ at, guide }) => [at, guide]));
    expect(() => laid('from the butt\n1326\n1222\n1104')).not.toThrow();
    expect(() => laid('300\n560\n780')).toThrow(/two ways.*"from": "tip" or "from": "butt"/);
    expect(() => laid('92\n196 x 4\n314')).toThrow(/^Line 2 of the list, "196 x 4": 2 numbers stand/);
  });
});
