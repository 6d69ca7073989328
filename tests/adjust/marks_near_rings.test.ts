import { expect, test } from 'vitest';
import type { FittedMark } from '../../src/adjust/mark_fit.ts';
import { marksNearRings } from '../../src/adjust/marks_near_rings.ts';
import type { MarkSighting } from '../../src/vision/mark_band.ts';

/** A white band 1.5 mm wide as two photos show it, `apart` mm from each other. */
function mark(s: number, change: Partial<FittedMark> = {}, apart = 0.02): FittedMark {
  const sighting = (view: number, centre: number): MarkSighting => ({
    view,
    tipEdge: centre - 0.75,
    buttEdge: centre + 0.75,
    centreU: 0.01,
    edgeU: 0.02,
    raggedCentreU: 0.01,
    raggedEdgeU: 0.02,
    arc: 5,
    score: 100,
    coverage: 1,
    rolls: [-60, 60],
    colour: [200, 128, 128],
    ground: [30, 128, 128],
    paper: [235, 128, 128],
    typical: [30, 128, 128],
    clutter: 0.02,
    pixelsPerMm: 5,
    parallax: 0,
  });
  const sightings = [sighting(0, s - apart / 2), sighting(1, s + apart / 2)];
  const estimate = (value: number) => ({ value, u: 0.02 });
  return {
    along: estimate(s),
    centre: estimate(s),
    tipEdge: estimate(s - 0.75),
    buttEdge: estimate(s + 0.75),
    width: estimate(1.5),
    colour: 'white',
    contrast: 100,
    coverage: 1,
    rolls: [-60, 60],
    clutter: 0.02,
    perHeight: 0,
    views: [0, 1],
    covering: [0, 1],
    sightings,
    ...change,
  };
}

test('each ring gets the clear mark beside it, with the ring counted from the mark toward the butt', () => {
  const tipWrap = mark(10);
  const near = marksNearRings([tipWrap, mark(100.4), mark(250)], [100, 249.6, 400], [10]);
  expect(near[0]!.offset).toBeCloseTo(-0.4, 6);
  expect(near[1]!.offset).toBeCloseTo(-0.4, 6);
  expect(near[2]).toBeUndefined();
});

test('tape, feet and reflections beside a ring are not its mark', () => {
  const tipWrap = mark(10);
  const suspects = [
    mark(99, { colour: 'tan' }),
    mark(99, { clutter: 0.6 }),
    mark(99, { coverage: 0.4 }),
    mark(99, {}, 0.9),
    mark(99, { views: [0], sightings: [mark(99).sightings[0]!] }),
    mark(80),
  ];
  for (const suspect of suspects) expect(marksNearRings([tipWrap, suspect], [100], [10])).toEqual([undefined]);
});
