import { expect, it } from 'vitest';
import { stiffnessAt } from '../../src/plan/bend/stiffness.ts';
import { layOut } from '../../src/plan/layouts/layout.ts';
import { parseLayout } from '../../src/plan/layouts/layout_file.ts';

const guide = { ringOuter: 8, ringInner: 5.8, height: 10, lean: 0, foot: 'single' };

it('lays the taper of a section from where the section starts', () => {
  const { bend } = layOut(
    parseLayout({
      schema: 'prewrap.layout/1',
      title: 'A butt section',
      unit: 'mm',
      blank: { length: 1000, tipDiameter: 6, buttDiameter: 12, finish: 'dark' },
      section: { startsAt: 900 },
      guides: [guide, guide],
      layout: {
        kind: 'bend',
        rod: { modulus: 40 },
        load: { newtons: 3, pullAngle: 90 },
        side: 'underneath',
        clampAt: 1700,
        reel: { at: 1780, height: 40 },
        first: 1000,
        last: 1400,
      },
    }),
  );
  const { stiffness } = bend!.bendCase;
  const solid = (diameter: number) => (40_000 * Math.PI * diameter ** 4) / 64;
  expect(stiffnessAt(stiffness, 900)).toBeCloseTo(solid(6), 3);
  // halfway along the section, not halfway along a blank that began at the tip
  expect(stiffnessAt(stiffness, 1400)).toBeCloseTo(solid(9), 3);
  expect(stiffnessAt(stiffness, 1900)).toBeCloseTo(solid(12), 3);
});
