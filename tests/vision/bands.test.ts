import { describe, expect, test } from 'vitest';
import { bandColours, gammaShift, textureSigma } from '../../src/vision/band_colour.ts';
import { bandEdges, marker } from '../../src/vision/band_edges.ts';
import { bandPicture, bandRows, bandValue } from '../../src/vision/band_rows.ts';
import { measureBand } from '../../src/vision/mark_band.ts';
import {
  applySymmetric,
  boxAverage,
  type Colour,
  invertSymmetric,
  prominence,
  stripRelief,
} from '../../src/vision/strip_relief.ts';
import { madeStrip } from '../world/made_strip.ts';

const dark: Colour = [40, 128, 128];
const white: Colour = [200, 126, 129];
const mix = (share: number): Colour =>
  [0, 1, 2].map((i) => dark[i]! + share * (white[i]! - dark[i]!)) as unknown as Colour;
const radius = 3;

/** A white band from 19 to 21 mm, its edges as soft as a lens makes them; `where` = share of white at a place. */
const strip = (where: (s: number, w: number) => number = () => 1, band = { tip: 19, butt: 21 }) => {
  const edge = (d: number) => Math.min(Math.max(d / 0.2 + 0.5, 0), 1);
  return madeStrip({
    from: 0,
    to: 40,
    colour: (s, w) => mix(where(s, w) * edge(s - band.tip) * edge(band.butt - s)),
  });
};
const look = (made: ReturnType<typeof strip>) => {
  const relief = stripRelief(made, () => radius)!;
  const { score, inverse } = prominence(relief, 4);
  const candidate = { from: 190, to: 210, peak: 200 };
  const picture = bandPicture(made, relief, inverse, candidate)!;
  return { strip: made, relief, score, inverse, candidate, picture };
};
const room = { from: 16.8, to: 23.2 };

describe('what stands out of a straightened blank', () => {
  test('a lengthwise highlight and a slow change of shade are gone, a band across stays', () => {
    const lit = madeStrip({
      from: 0,
      to: 40,
      colour: (s, w) => [40 + 0.5 * s + (Math.abs(w) < 0.1 ? 120 : 0) + (s > 19 && s < 21 ? 60 : 0), 128, 128],
    });
    const relief = stripRelief(lit, () => radius)!;
    const at = (s: number) => relief.profile[0][10 * s]!;
    expect(at(20)).toBeGreaterThan(50);
    for (const s of [8, 12, 30]) expect(Math.abs(at(s))).toBeLessThan(2);
    const { score } = prominence(relief, 4);
    expect(score[200]).toBeGreaterThan(10);
    expect(Math.max(...score.subarray(20, 170))).toBeLessThan(5);
  });

  test('rows that blur mixes with what lies behind are left out, more of them where the blank is thin', () => {
    const made = strip();
    const [thick, thin] = [4, 0.4].map((r) => stripRelief(made, () => r)!.margin[100]!);
    expect(thick).toBe(0);
    expect(thin).toBeGreaterThan(3);
    expect(2 * thin!).toBeLessThan(made.across.length - 2);
  });

  test('too little of it, or what no photo shows, tells nothing', () => {
    const made = strip();
    expect(stripRelief(made, () => radius, 41)).toBeUndefined();
    made.luma.fill(Number.NaN, 0, 380);
    expect(stripRelief(made, () => radius)).toBeUndefined();
  });

  test('a symmetric matrix times its inverse leaves a vector as it is', () => {
    const m = [4, 1, -0.5, 3, 0.2, 2];
    const v: Colour = [1, -2, 3];
    const back = applySymmetric(invertSymmetric(m), applySymmetric(m, v));
    back.forEach((value, i) => expect(value).toBeCloseTo(v[i]!, 12));
  });

  test('a box average keeps what is even and stays within its ends', () => {
    const even = boxAverage(new Float64Array(20).fill(7), 3, 2, 18);
    expect(Array.from(even.subarray(2, 18))).toEqual(Array(16).fill(7));
    expect(even[0]).toBe(0);
  });
});

describe('a band’s picture', () => {
  test('is 0 on the blank and 1 on the band', () => {
    const { picture } = look(strip());
    const mean = (c: number) =>
      Array.from({ length: 21 }, (_, k) => bandValue(picture, k, c)).reduce((a, b) => a + b) / 21;
    expect(Math.abs(mean(50))).toBeLessThan(0.1);
    expect(mean(200)).toBeGreaterThan(0.9);
    expect(mean(200)).toBeLessThan(1.1);
    expect(picture.lumaShare).toBeGreaterThan(0.9);
  });

  test('of a band that colour alone tells hangs on colour', () => {
    const red = madeStrip({ from: 0, to: 40, colour: (s) => (s > 19 && s < 21 ? [40, 128, 170] : dark) });
    expect(look(red).picture.lumaShare).toBeLessThan(0.1);
  });
});

describe('rows that carry a band', () => {
  const rowsOf = (made: ReturnType<typeof strip>, busy = 0) => {
    const { picture, candidate } = look(made);
    return bandRows(picture, candidate, 5, radius, busy);
  };

  test('are all rows of one that goes all round, and its arc is the blank’s', () => {
    const shown = rowsOf(strip())!;
    expect(shown.coverage).toBe(1);
    expect(shown.short).toBe(false);
    expect(shown.arc).toBeCloseTo(2 * Math.asin(0.85) * radius, 6);
  });

  test('a speck is none, nor what shines past both outlines from behind', () => {
    expect(rowsOf(strip((_, w) => (Math.abs(w) < 0.12 ? 1 : 0)))).toBeUndefined();
    expect(rowsOf(strip((_, w) => (Math.abs(w) > 0.6 ? 1 : 0.1)))).toBeUndefined();
  });

  test('a short band is one by itself, and none in company', () => {
    const short = strip((_, w) => (Math.abs(w) < 0.55 ? 1 : 0));
    expect(rowsOf(short)!.short).toBe(true);
    expect(rowsOf(short, 10)).toBeUndefined();
  });
});

describe('a band’s edges', () => {
  const edgesOf = (made: ReturnType<typeof strip>, candidate = { from: 190, to: 210, peak: 200 }, short = false) => {
    const { picture } = look(made);
    return bandEdges(
      picture,
      candidate,
      made.across.map((_, k) => k),
      room,
      short,
    );
  };

  test('are found to hundredths of a millimetre, and straight ones are not ragged', () => {
    const { fit, ragged } = edgesOf(strip())!;
    expect(Math.abs(fit.tip - 19)).toBeLessThan(0.03);
    expect(Math.abs(fit.butt - 21)).toBeLessThan(0.03);
    expect(ragged.centre).toBeLessThan(0.02);
  });

  test('of a ragged band are known worse', () => {
    const jagged = strip((s, w) => (Math.abs(s - 20) < 1 + 0.25 * Math.sin(9 * w) ? 1 : 0), { tip: 18, butt: 22 });
    expect(edgesOf(jagged)!.ragged.edge).toBeGreaterThan(0.03);
  });

  test('wider than a marker’s stroke, or running obliquely, are those of no band', () => {
    const wide = strip(() => 1, { tip: 17.2, butt: 22.8 });
    expect(edgesOf(wide, { from: 172, to: 228, peak: 200 })).toBeUndefined();
    const oblique = strip((s, w) => (Math.abs(s - 20 - 2.6 * w) < 0.8 ? 1 : 0), { tip: 16, butt: 24 });
    expect(edgesOf(oblique)).toBeUndefined();
    expect(marker.widest).toBeLessThan(5.6);
  });
});

describe('a band’s colours', () => {
  test('are its own, the ground’s beside it and the blank’s at large; a neighbour clutters it', () => {
    const made = strip();
    const { relief } = look(made);
    const rows = made.across.map((_, k) => k);
    const clean = bandColours(made, relief, rows, { tip: 19, butt: 21 }, { peak: 200, inset: 4 });
    expect(clean.colour[0]).toBeCloseTo(200, -1);
    expect(clean.ground[0]).toBeCloseTo(40, -1);
    expect(clean.clutter).toBeLessThan(0.1);
    const crowded = strip((s) => (s > 22 ? 1 : 0), { tip: 19, butt: 30 });
    const beside = bandColours(crowded, look(strip()).relief, rows, { tip: 19, butt: 21 }, { peak: 200, inset: 4 });
    expect(beside.clutter).toBeGreaterThan(clean.clutter);
  });

  test('the blank’s texture is the noise of its rows’ mean', () => {
    const { relief } = look(madeStrip({ from: 0, to: 40, noise: 4, colour: () => dark }));
    const sigma = textureSigma(relief, [1, 0, 0]);
    expect(sigma).toBeGreaterThan((4 / Math.sqrt(21)) * 0.6);
    expect(sigma).toBeLessThan((4 / Math.sqrt(21)) * 1.4);
  });

  test('encoding makes a bright band look too wide and a dark one too narrow by as much, and none where light is alike', () => {
    const shift = gammaShift(200, 40, 0.1);
    expect(shift).toBeGreaterThan(0);
    expect(gammaShift(40, 200, 0.1)).toBeCloseTo(-shift, 12);
    expect(gammaShift(200, 40, 0.2)).toBeCloseTo(2 * shift, 12);
    expect(gammaShift(100, 100, 0.1)).toBe(0);
  });
});

describe('a mark in one photo', () => {
  const mark = (made: ReturnType<typeof strip>, busy = 0) => {
    const seen = look(made);
    return measureBand(seen, seen.candidate, { room, radius, busy, score: 30 });
  };

  test('has its place with a doubt of hundredths, and goes as far round as it shows', () => {
    const seen = mark(strip())!;
    expect(Math.abs((seen.tipEdge + seen.buttEdge) / 2 - 20)).toBeLessThan(3 * seen.centreU);
    expect(seen.centreU).toBeLessThan(0.05);
    expect(seen.rolls[1] - seen.rolls[0]).toBeGreaterThan(100);
    expect(seen.clutter).toBeLessThan(0.2);
  });

  test('is none where a speck is all there is, nor of a strip too wide', () => {
    expect(mark(strip((_, w) => (Math.abs(w) < 0.1 ? 1 : 0)))).toBeUndefined();
    const seen = look(strip(() => 1, { tip: 15, butt: 25 }));
    expect(
      measureBand(seen, { from: 150, to: 250, peak: 200 }, { room: { from: 10, to: 30 }, radius, busy: 0, score: 30 }),
    ).toBeUndefined();
  });
});
