import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type FileAside, photosAside } from '../../src/photo/photos_aside.ts';
import { foldEdges } from '../../src/vision/folded_stations.ts';
import { type LaneStation, reverseEdges } from '../../src/vision/lane_edges.ts';

const number = fc.double({ noDefaultInfinity: true });
const pair = fc.tuple(number, number);
const colour = fc.tuple(number, number, number);
const levels = fc.array(fc.float(), { maxLength: 9 }).map((list) => Float32Array.from(list));
const edge = fc.record({ v: number, d: number, slope: number, below: colour, above: colour });
const blank = fc.record({
  first: fc.integer(),
  share: levels,
  runs: fc.array(fc.record({ middle: number, breadth: number }), { maxLength: 3 }),
});
const station: fc.Arbitrary<LaneStation> = fc
  .record({
    t: number,
    middle: pair,
    across: pair,
    pixelsPerMm: number,
    chroma: fc.record({ first: fc.integer(), blue: levels, red: levels }),
    paper: colour,
    mostColour: number,
    edges: fc.array(edge, { maxLength: 4 }),
  })
  .chain((walk) => fc.option(blank).map((own) => (own ? { ...walk, blank: own } : walk)));
const stations = fc.array(station, { maxLength: 5 });

test('folded walks come out as they went in, to the last digit, and as often as one likes', () => {
  fc.assert(
    fc.property(stations, number, (list, height) => {
      const folded = foldEdges({ height, stations: list });
      expect(folded.height).toBe(height);
      expect([...folded.stations]).toEqual(list);
      expect([...folded.stations]).toEqual(list);
    }),
  );
});

test('laid aside they are the same, whatever else is', () => {
  const written: Uint8Array[] = [];
  const file: FileAside = {
    add: (bytes) => written.push(bytes.slice()) - 1,
    read: (at, into) => into.set(written[at]!),
  };
  const { hold } = photosAside(file, 4000);
  fc.assert(
    fc.property(fc.array(stations, { minLength: 2, maxLength: 4 }), (lists) => {
      const folded = lists.map((list) => foldEdges({ height: 7, stations: list }, hold));
      for (const [i, list] of lists.entries()) expect([...folded[i]!.stations]).toEqual(list);
      expect([...folded[0]!.stations]).toEqual(lists[0]);
    }),
    { numRuns: 30 },
  );
  expect(written.length).toBeGreaterThan(0);
});

test('turned round twice they are as they were', () => {
  fc.assert(
    fc.property(stations, (list) => {
      const once = reverseEdges(foldEdges({ height: 7, stations: list }));
      expect([...once.stations].map(({ t }) => t)).toEqual(list.map(({ t }) => -t).reverse());
      // -(-0) is 0, and toEqual tells the two apart
      const plain = (walks: Iterable<LaneStation>) => JSON.stringify([...walks]);
      expect(plain(reverseEdges(once).stations)).toBe(plain(list));
    }),
  );
});
