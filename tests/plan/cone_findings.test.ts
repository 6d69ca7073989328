import { expect, it } from 'vitest';
import { coneFindings } from '../../src/plan/layouts/cone_findings.ts';
import type { SpoolCase } from '../../src/plan/layouts/line_cone.ts';

// lip at 1000, 40 wide, its centre 30 above the blank; the cone ends at 300 in a bore of 4 standing 6 above the blank
const spool: SpoolCase = {
  seatAt: 1060,
  lipForward: 60,
  spoolDiameter: 40,
  lipToBlank: 10,
  choke: { at: 300, ringInner: 4, height: 6 },
};
const at = (ringInner: number, height: number) => coneFindings(spool, [{ id: 'G7', at: 650, ringInner, height }], 'mm');

it('finds a ring in the way of the cone halfway along, where it is 22 wide and 18 above the blank', () => {
  expect(at(22, 18)).toEqual([]);
  expect(at(30, 21)).toEqual([]);
  expect(at(16, 18)).toMatchObject([
    {
      rule: 'line-cone',
      by: 3,
      text: expect.stringContaining('a bore of 16.0 mm where the cone of line from the spool is 22.0 mm wide'),
    },
  ]);
  expect(at(24, 25)).toMatchObject([
    { by: 6, text: expect.stringContaining('stands 7.0 mm above the middle of the cone') },
  ]);
  expect(at(24, 12)).toMatchObject([{ text: expect.stringContaining('stands 6.0 mm below the middle') }]);
  expect(at(16, 18)[0]!.cure).toContain('a bore of 22.0 mm at a height of 18.0 mm');
});
