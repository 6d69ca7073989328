import { describe, expect, test } from 'vitest';
import type { BandSeen, ViewsKnown } from '../../src/adjust/band_problem.ts';
import { tieBands, votesFor } from '../../src/adjust/band_ties.ts';
import { seededNormal, seededUniform } from '../world/seeded_random.ts';

const length = 1500;

interface Walk {
  /** places of the bands on the blank, mm */
  marks: readonly number[];
  /** views from this one on lie so far toward the butt, mm */
  slide?: { from: number; by: number };
  /** mm by which the axis is taken too low, along the blank */
  sunk?: (along: number) => number;
  drift?: number;
  noise?: number;
  /** share of sightings that are of something else */
  strays?: number;
  seed?: number;
  views?: number;
}

/** How far the photos are tilted along the blank, as a walk's are (tangent of the angle). */
const tilts = [0, 0.35, -0.3, 0.1, -0.4, 0.25];

/**
 * What photos (six, unless told) that step along a blank would read of its bands: each looks back and forth by up to 30
 * degrees.
 */
function read({ marks, slide, sunk = () => 0, drift = 0.05, noise = 0.04, strays = 0, seed = 1, views = 6 }: Walk) {
  const normal = seededNormal(seed);
  const uniform = seededUniform(seed + 1000);
  const bands: BandSeen[] = [];
  const covers: { from: number; to: number }[] = [];
  for (let view = 0; view < views; view++) {
    const middle = 250 + (view * 1000) / (views - 1);
    const cover = { from: Math.max(0, middle - 260), to: middle + 260 };
    covers.push(cover);
    const own = drift * normal();
    for (const at of marks) {
      const slid = slide && view >= slide.from ? slide.by : 0;
      if (at + slid < cover.from + 3 || at + slid > cover.to - 3) continue;
      const stray = uniform() < strays ? 3 * normal() : 0;
      const perHeight = (middle - at) / 450 + tilts[view % tilts.length]!;
      const along = at + slid + own + noise * normal() + stray - perHeight * sunk(at);
      bands.push({ view, along, u: noise, width: 1.5, perHeight, clear: true });
    }
  }
  const heightSigma = (along: number) => 0.35 + 0.85 * Math.min(along / 300, 1);
  const known: ViewsKnown = {
    reading: 0.08,
    heightSigma,
    drift: covers.map(() => Math.hypot(0.05, drift)),
    covers,
    length,
  };
  return { bands, known };
}

const marks = [12, 95, 200, 310, 425, 550, 690, 830, 985, 1130, 1270];

describe('bands tie the photos of a walk together', () => {
  test('a rod that lay still is never said to have slid, whatever drifts, sunk axes and strays there are', () => {
    for (let seed = 1; seed <= 60; seed++) {
      const { bands, known } = read({
        marks,
        drift: 0.02 + 0.01 * (seed % 12),
        sunk: (s) => 1.2 * Math.sin(s / 300) * Math.cos(seed),
        strays: 0.02 * (seed % 4),
        seed,
      });
      expect(tieBands(bands, known).slides, `seed ${seed}`).toEqual([]);
    }
  });

  test('slides of 2 to 5 mm are found between the right photos and measured within their doubt', () => {
    let inside = 0;
    let all = 0;
    for (const by of [2, 3.5, 5, -2.4]) {
      for (let from = 1; from < 6; from++) {
        const walk = { marks, slide: { from, by }, sunk: (s: number) => 0.8 * Math.sin(s / 350), seed: 10 * from + 1 };
        const { bands, known } = read(walk);
        const { slides } = tieBands(bands, known);
        expect(
          slides.map((slide) => slide.from),
          `${by} mm from view ${from}`,
        ).toEqual([from]);
        const { value, u } = slides[0]!.along;
        expect(Math.abs(value - by)).toBeLessThan(4 * u);
        all++;
        if (Math.abs(value - by) < 2 * u) inside++;
      }
    }
    expect(inside / all).toBeGreaterThan(0.9);
  });

  test('a slide that too few bands tell is hinted at, and said by none', () => {
    let right = 0;
    for (let seed = 1; seed <= 12; seed++) {
      const walk = { marks: [95, 700, 840, 1250], slide: { from: 3, by: 2.4 }, drift: 0.02, noise: 0.02, seed };
      const { bands, known } = read(walk);
      // many a band of a glossy blank is a reflection that no other photo shows
      const stray = seededUniform(seed + 50);
      const alone = known.covers.flatMap((cover, view) =>
        Array.from({ length: 4 }, (): BandSeen => {
          const along = cover!.from + (cover!.to - cover!.from) * stray();
          return { view, along, u: 0.05, width: 1.5, perHeight: 0, clear: true };
        }),
      );
      const { slides, hinted } = tieBands([...bands, ...alone], known);
      if (slides.length > 0) expect(hinted, `seed ${seed}`).toEqual([]);
      right += hinted.filter(({ from, along }) => from === 3 && Math.abs(along.value - 2.4) < 0.4).length;
      for (const { chance, bands: telling } of hinted) {
        expect(chance).toBeGreaterThan(0.02);
        expect(telling).toBeGreaterThan(1);
      }
    }
    expect(right).toBeGreaterThan(3);
  });

  test('half a millimetre shows where neighbours on either side tell height from slide, and 0.3 mm is not claimed for anything else', () => {
    let found = 0;
    for (let seed = 1; seed <= 20; seed++) {
      const from = 2 + (seed % 3);
      const { bands, known } = read({ marks, slide: { from, by: 0.5 }, drift: 0.02, noise: 0.02, seed });
      const { slides } = tieBands(bands, known);
      if (slides.some((slide) => slide.from === from && Math.abs(slide.along.value - 0.5) < 0.3)) found++;
      const small = read({ marks, slide: { from, by: 0.3 }, seed });
      for (const slide of tieBands(small.bands, small.known).slides)
        expect(Math.abs(slide.along.value - 0.3)).toBeLessThan(0.4);
    }
    expect(found).toBeGreaterThanOrEqual(7);
  });

  test.each([5, 16, 33])('of forty photos the one after which the rod slid is found: from view %i', (from) => {
    const { bands, known } = read({ marks, views: 40, slide: { from, by: 2.2 }, seed: from });
    const { slides } = tieBands(bands, known);
    expect(slides.map((slide) => slide.from)).toEqual([from]);
    const { value, u } = slides[0]!.along;
    expect(Math.abs(value - 2.2)).toBeLessThan(4 * u);
  });

  test('forty photos of a rod that lay still tell of no slide', () => {
    for (let seed = 1; seed <= 5; seed++) {
      const { bands, known } = read({
        marks,
        views: 40,
        drift: 0.06,
        strays: 0.04,
        sunk: (s) => Math.sin(s / 300),
        seed,
      });
      expect(tieBands(bands, known).slides, `seed ${seed}`).toEqual([]);
    }
  });

  test('one band alone never makes a slide', () => {
    const { bands, known } = read({ marks: [12, 690] });
    const moved = bands.map((band) => (band.view >= 3 ? { ...band, along: band.along + 2.2 } : band));
    expect(tieBands(moved, known).slides).toEqual([]);
  });

  test('the height by which the axis was taken too low comes back', () => {
    const sunk = (s: number) => 0.2 + 0.8 * Math.sin(s / 400);
    const { bands, known } = read({ marks, sunk });
    const { heights } = tieBands(bands, known);
    expect(heights.length).toBeGreaterThan(5);
    for (const { along, value, u } of heights)
      expect(Math.abs(value - sunk(along))).toBeLessThan(Math.max(0.25, 3 * u));
  });
});

test('votes for a slide are bands within the tolerance, each counted once, however many photos there are', () => {
  const uniform = seededUniform(5);
  for (const count of [0, 1, 2, 40, 600]) {
    const differences = Array.from({ length: count }, () => ({
      band: 60 * uniform(),
      d: Math.round((50 * uniform() - 25) * 20) / 20,
    }));
    const direct = differences.map(
      ({ d }) =>
        new Set(differences.filter((o) => Math.abs(o.d - d) < 0.35).map(({ band }) => Math.round(band / 3))).size,
    );
    expect([...votesFor(differences)]).toEqual(direct);
  }
});
