import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/plan/input_error.ts';
import { coneAt, placeOnCone, type SpoolCase } from '../../src/plan/layouts/line_cone.ts';

// lip at 1000, 40 wide, its centre 30 above the blank; the cone ends at 300 in a bore of 4 standing 6 above the blank
const spool: SpoolCase = {
  seatAt: 1060,
  lipForward: 60,
  spoolDiameter: 40,
  lipToBlank: 10,
  choke: { at: 300, ringInner: 4, height: 6 },
};

describe('cone of line from the spool', () => {
  it('is a straight cone from the lip to the last bore, worked by hand', () => {
    expect(coneAt(spool, 1000)).toEqual({ at: 1000, diameter: 40, height: 30 });
    expect(coneAt(spool, 300)).toEqual({ at: 300, diameter: 4, height: 6 });
    expect(coneAt(spool, 650)).toEqual({ at: 650, diameter: 22, height: 18 });
  });

  it('puts a bore of 22 that stands at the cone centre halfway along', () => {
    const [ring] = placeOnCone(spool, [{ ringInner: 22, height: 18 }]);
    expect(ring!.bySize!.at).toBeCloseTo(650, 9);
    expect(ring!.byHeight!.at).toBeCloseTo(650, 9);
  });

  it('just clears: the cone touches the bore on one side and passes on the other', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 4.1, max: 39, noNaN: true }),
        fc.double({ min: 4, max: 36, noNaN: true }),
        (ringInner, height) => {
          const [ring] = placeOnCone(spool, [{ ringInner, height }]);
          expect(ring!.bySize!.diameter).toBeCloseTo(ringInner, 9);
          const room = (at: number) => {
            const section = coneAt(spool, at);
            return ringInner / 2 - Math.abs(section.height - height) - section.diameter / 2;
          };
          if (ring!.byHeight) {
            expect(room(ring!.byHeight.at)).toBeCloseTo(0, 9);
            expect(room(ring!.byHeight.at + 1)).toBeLessThan(0);
            expect(ring!.byHeight.at).toBeLessThanOrEqual(ring!.bySize!.at + 1e-9);
          } else {
            for (let at = 300; at <= 1000; at += 5) expect(room(at)).toBeLessThan(1e-9);
          }
        },
      ),
    );
  });

  it('steps rings down along the cone', () => {
    const places = placeOnCone(
      spool,
      [30, 20, 10].map((ringInner) => ({ ringInner, height: 15 })),
    ).map((ring) => ring.bySize!.at);
    expect(places).toEqual(places.toSorted((a, b) => b - a));
  });

  it('has no place for a ring smaller than its end, and refuses a cone turned round', () => {
    expect(placeOnCone(spool, [{ ringInner: 3, height: 6 }])[0]).not.toHaveProperty('bySize');
    expect(() => placeOnCone({ ...spool, seatAt: 300 }, [])).toThrow(InputError);
    expect(() => placeOnCone({ ...spool, spoolDiameter: 4 }, [])).toThrow('not smaller than the spool');
  });
});
