import fc from 'fast-check';
import { expect, test } from 'vitest';
import { movedTo, placeStep, roomOf } from '../../src/app/plan/plan_drag.ts';
import { rodShapes } from '../../src/app/plan/plan_rod_shapes.ts';
import { usualWraps } from '../../src/plan/foot.ts';
import { defaultTolerance, type Guide, type Plan, type RingGuide } from '../../src/plan/plan.ts';

const ring: RingGuide = {
  ringOuter: 10,
  ringInner: 7,
  height: 12,
  lean: 0,
  foot: 'single',
  footLength: 14,
  reach: 6,
};
const rod = (places: readonly number[], guide: Guide = ring, more: Partial<Plan> = {}): Plan => ({
  title: '',
  unit: 'mm',
  blank: { length: 1400, tipDiameter: 2, buttDiameter: 12, finish: 'dark' },
  positions: places.map((at, i) => ({ id: `G${i + 1}`, kind: 'guide', at, guide })),
  tolerance: defaultTolerance,
  ...more,
});
const places = fc
  .uniqueArray(fc.integer({ min: 1, max: 1399 }), { minLength: 1, maxLength: 12 })
  .map((all) => all.toSorted((a, b) => a - b));

test('a dragged place stays on the blank, between its neighbours, on a step of the tape', () => {
  fc.assert(
    fc.property(
      places,
      fc.nat(),
      fc.double({ min: -5000, max: 5000, noNaN: true }),
      fc.constantFrom('mm' as const, 'in' as const, 'in-fraction' as const),
      fc.constantFrom(0.25, 1, 2, 4),
      (all, pick, wanted, display, perMm) => {
        const plan = rod(all);
        const row = pick % all.length;
        const step = placeStep(display, perMm);
        const at = movedTo(plan, row, wanted, step);
        const { least, most } = roomOf(plan, row, step);
        if (at === all[row]) return;
        expect(at).toBeGreaterThanOrEqual(least - 1e-6);
        expect(at).toBeLessThanOrEqual(most + 1e-6);
        expect(Math.abs(at / step - Math.round(at / step))).toBeLessThan(1e-6);
        const moved = all.with(row, at);
        expect(moved).toEqual(moved.toSorted((a, b) => a - b));
        // where there is room for it, it goes where it was dragged
        if (wanted >= least + step && wanted <= most - step)
          expect(Math.abs(at - wanted)).toBeLessThanOrEqual(step / 2 + 1e-9);
      },
    ),
  );
});

test('a place without room stays where it is', () => {
  expect(movedTo(rod([500, 500.4, 501]), 1, 700, 1)).toBe(500.4);
});

test('the drawing is true to scale: ring, height, foot and thread are as long as the plan says', () => {
  const { blank, places: drawn, up, from, to } = rodShapes(rod([700]), usualWraps);
  expect([from, to]).toEqual([0, 1400]);
  expect(blank[0]).toEqual([0, 1]);
  expect(blank[1]).toEqual([1400, 6]);
  const [shape] = drawn;
  // the blank is 7 mm thick there
  expect(shape!.ring!.ends).toEqual([
    [700, 3.5 + 12 - 5],
    [700, 3.5 + 12 + 5],
  ]);
  expect(shape!.ring!.thickness).toBe(1.5);
  expect(up).toBe(20.5);
  expect(shape!.feet).toMatchObject([{ from: 706, to: 720 }]);
  expect(shape!.wraps).toMatchObject([{ from: 706, to: 720 + usualWraps.beyondFoot }]);
  expect(shape!.meant).toBeUndefined();
});

test('a ring that leans lifts its face toward the butt, and its height is kept', () => {
  fc.assert(
    fc.property(fc.double({ min: -40, max: 40, noNaN: true }), (lean) => {
      const [low, high] = rodShapes(rod([700], { ...ring, lean }), usualWraps).places[0]!.ring!.ends;
      expect((low[1] + high[1]) / 2).toBeCloseTo(3.5 + 12, 9);
      expect(Math.hypot(high[0] - low[0], high[1] - low[1])).toBeCloseTo(10, 9);
      // the top goes toward the tip by as much as the normal is lifted
      expect(low[0] - high[0]).toBeCloseTo(10 * Math.sin((lean * Math.PI) / 180), 9);
    }),
  );
});

test('a guide that is turned round stands below, and the drawing has room for it', () => {
  const { places: drawn, down, up } = rodShapes(rod([700], { ...ring, roll: 180 }), usualWraps);
  expect(drawn[0]!.ring!.ends[1][1]).toBeCloseTo(-20.5, 9);
  expect(down).toBeCloseTo(20.5, 9);
  expect(up).toBe(6);
  expect(rodShapes(rod([700], { ...ring, roll: 90 }), usualWraps).places[0]!.ring!.ends[1][1]).toBeCloseTo(0, 9);
});

test('feet that are not described are not invented: no foot, no thread, a leg that is only meant', () => {
  const { footLength: _, reach: __, ...bare } = ring;
  const [shape] = rodShapes(rod([700], bare), usualWraps).places;
  expect(shape).toMatchObject({ feet: [], wraps: [], meant: true });
  expect(shape!.wires).toEqual([
    [
      [700, 3.5],
      [700, 10.5],
    ],
  ]);
});

test('a snake guide, a tip-top, fittings and joints are drawn where the plan has them', () => {
  const snake: Guide = { type: 'snake', length: 20, height: 6, wire: 1 };
  const shapes = rodShapes(
    rod([700], snake, {
      fittings: [{ kind: 'grip', from: 1100, to: 1300 }],
      joints: [{ at: 800, kind: 'spigot', length: 60, gap: 4 }],
      tipTop: { ringOuter: 6, ringInner: 4, tubeLength: 8, tubeInner: 2 },
    }),
    usualWraps,
  );
  const wire = shapes.places[0]!.wires[0]!;
  expect(Math.max(...wire.map(([, up]) => up))).toBeCloseTo(3.5 + 5.5, 6);
  expect(shapes.fittings.map(({ kind, from, to }) => [kind, from, to])).toEqual([
    ['grip', 1100, 1300],
    ['joint', 744, 804],
  ]);
  expect(shapes.tipTop!.feet).toMatchObject([{ from: -0.5, to: 7.5, up: 1.3 }]);
});
