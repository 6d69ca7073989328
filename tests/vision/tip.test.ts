import { describe, expect, it } from 'vitest';
import { makeCamera } from '../../src/geometry/camera.ts';
import type { Photo } from '../../src/photo/photo.ts';
import { findTip } from '../../src/vision/tip.ts';
import { normalShareBelow } from '../../src/numerics/normal_distribution.ts';
import { seededNormal } from '../world/seeded_random.ts';

const width = 500;
const height = 240;
const perMm = 5;
/** Straight above the tip, 500 mm up: 5 pixels a mm, the tip in the picture's middle, x toward the butt. */
const camera = makeCamera(
  { focal: 500 * perMm, centre: [(width - 1) / 2, (height - 1) / 2], distortion: [0, 0, 0, 0, 0] },
  { rotation: [Math.PI, 0, 0], translation: [0, 0, 500] },
);
const radius = 0.85;

/** The end of a blank on paper, drawn by area sampling (4 x 4 places a pixel); lengths in mm from the true tip. */
function picture(options: {
  lines?: number[];
  slant?: number;
  mark?: number;
  blank?: number;
  shadow?: boolean;
  /** its hard shadow goes on beyond the end by so many mm, and the blank has a colour */
  coloured?: number;
  /** its hard shadow goes on beyond the end, so many mm farther on one side than on the other */
  shadowOn?: number;
  /** and straight on in its line by so many mm, as dark as this */
  inLine?: { by: number; level: number };
}): Photo {
  const { lines = [], slant = 0, mark, blank = 40, shadow = false, coloured, shadowOn, inLine } = options;
  const noise = seededNormal(3);
  const luma = new Uint8Array(width * height);
  const shade = (x: number, y: number) => {
    if (x >= 0 && Math.abs(y) < radius) return mark !== undefined && Math.abs(x - mark) < 0.8 ? 200 : blank;
    if (shadowOn !== undefined && Math.abs(y) < radius && x > (-shadowOn * (y + radius)) / (2 * radius)) return 110;
    if (inLine && x > -inLine.by && Math.abs(y) < 0.8 * radius) return inLine.level;
    if (coloured !== undefined && x > -coloured && Math.abs(y - 0.6) < radius) return 95;
    if (lines.some((at) => Math.abs(x - at - slant * y) < 0.2)) return 45;
    return shadow && y > 0 && y < 4 && x > -0.5 ? 150 + 15 * y : 220;
  };
  for (let j = 0; j < height; j++) {
    for (let i = 0; i < width; i++) {
      let sum = 0;
      for (let a = 0; a < 16; a++) {
        const x = (i - (width - 1) / 2 + ((a % 4) - 1.5) / 4) / perMm;
        const y = (j - (height - 1) / 2 + (Math.floor(a / 4) - 1.5) / 4) / perMm;
        sum += shade(x, y) / 16;
      }
      luma[j * width + i] = sum + 2 * noise();
    }
  }
  const half = new Uint8Array((width / 2) * (height / 2)).fill(128);
  const photo = { file: 'drawn', width, height, luma, blueDifference: half, redDifference: half };
  return coloured === undefined ? photo : { ...photo, blueDifference: half.map((_, k) => (isOnBlank(k) ? 90 : 128)) };
}

/** Whether a place of the planes of half size lies on the blank. */
function isOnBlank(k: number): boolean {
  const [i, j] = [k % (width / 2), Math.floor(k / (width / 2))];
  return (2 * i + 0.5 - (width - 1) / 2) / perMm > 0 && Math.abs((2 * j + 0.5 - (height - 1) / 2) / perMm) < radius;
}

/** Linear light as it is kept in a picture (IEC 61966-2-1). */
const encoded = (light: number) => 255 * (light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055);

/**
 * A blank that lets so much light back and, on the far side, a black square's edge at x = 30 mm, on paper of 0.75,
 * through a lens that blurs light by so many pixels.
 */
function blurred(blank: number, blur: number): Photo {
  const share = (distance: number) => 1 - normalShareBelow(distance / (blur / perMm));
  const luma = new Uint8Array(width * height);
  const noise = seededNormal(8);
  for (let j = 0; j < height; j++) {
    for (let i = 0; i < width; i++) {
      const x = (i - (width - 1) / 2) / perMm;
      const y = (j - (height - 1) / 2) / perMm;
      const onBlank = share(-x) * (share(Math.abs(y) - radius) - share(Math.abs(y) + radius));
      const onSquare = share(x + 30) * (y > 5 ? 1 : 0);
      luma[j * width + i] = Math.round(encoded(0.75 + (blank - 0.75) * onBlank + (0.04 - 0.75) * onSquare) + noise());
    }
  }
  const half = new Uint8Array((width / 2) * (height / 2)).fill(128);
  return { file: 'drawn', width, height, luma, blueDifference: half, redDifference: half };
}

/** How far inside its true place the black square's edge shows at half of its contrast, mm. */
function bledAway({ luma }: Photo): number {
  const row = Array.from(
    { length: width },
    (_, i) =>
      Array.from({ length: 40 }, (__, k) => luma[(height / 2 + 50 + k) * width + i]!).reduce((a, b) => a + b) / 40,
  );
  const level = (encoded(0.75) + encoded(0.04)) / 2;
  const i = row.findIndex((value, k) => value <= level && row[k + 1]! > level);
  const place = i + (level - row[i]!) / (row[i + 1]! - row[i]!);
  return -30 - (place - (width - 1) / 2) / perMm;
}

/** Looked at from a station this far from the true tip, the found end's place from the true tip, mm. */
function found(photo: Photo, from: number): number | undefined {
  // The rim's lift over the axis doesn't show from straight above; z keeps the scale.
  const station = { t: 0, point: [from, 0, 0] as const, along: [1, 0, 0] as const, radius };
  const tip = findTip(photo, camera, station, { reach: 16, bleed: 0 });
  return tip && from + tip.offset;
}

describe('the tip end', () => {
  it.each([-3, -1, 0, 1, 4])('is found from %s mm away', (from) => {
    expect(Math.abs(found(picture({}), from)!)).toBeLessThan(0.08);
  });

  it.each([-2.5, -1.2, -0.6, 0.1, 0.6, 1.2, 2.5])('stays where it is with a check bar crossing %s mm from it', (at) => {
    for (const slant of [0, 0.15]) {
      for (const from of [-1, 0, 1])
        expect(Math.abs(found(picture({ lines: [at], slant }), from)!)).toBeLessThan(Math.abs(at) < 0.7 ? 0.45 : 0.1);
    }
  });

  it('is not looked for in a photo far from it, where the lens model runs away', () => {
    const { intrinsics, pose } = camera;
    const wild = makeCamera({ ...intrinsics, distortion: [0, 0, 0, 0, 2] }, pose);
    const station = { t: 0, point: [1e4, 0, 0] as const, along: [1, 0, 0] as const, radius };
    expect(findTip(picture({}), wild, station, { reach: 16, bleed: 0 })).toBeUndefined();
  });

  it('is doubted where a line touches it', () => {
    const sigma = (lines: number[]) =>
      findTip(
        picture({ lines }),
        camera,
        { t: 0, point: [0, 0, 0], along: [1, 0, 0], radius },
        { reach: 16, bleed: 0 },
      )!.sigma / perMm;
    expect(sigma([-0.3])).toBeGreaterThan(0.2);
    expect(sigma([5])).toBeLessThan(0.1);
  });

  it('is where the blank ends, not where white that bleeds over its edge does', () => {
    for (const blur of [0.6, 1.1]) {
      const dark = blurred(0.04, blur);
      const bleed = bledAway(dark);
      expect(bleed).toBeGreaterThan(0.3 * blur * (1 / perMm));
      const station = { t: 0, point: [1, 0, 0] as const, along: [1, 0, 0] as const, radius };
      const off = (photo: Photo, known: number) =>
        1 + findTip(photo, camera, station, { reach: 16, bleed: known })!.offset;
      expect(off(dark, 0)).toBeGreaterThan(0.7 * bleed);
      expect(Math.abs(off(dark, bleed))).toBeLessThan(0.02);
      // over a light one it bleeds less
      const light = blurred(0.35, blur);
      expect(Math.abs(off(light, bleed))).toBeLessThan(0.03);
    }
  });

  it('is not the edge of a white mark near it', () => {
    expect(Math.abs(found(picture({ mark: 6 }), 2)!)).toBeLessThan(0.1);
  });

  it('is found beside a soft shadow, and on a light blank', () => {
    expect(Math.abs(found(picture({ shadow: true }), 1)!)).toBeLessThan(0.15);
    expect(Math.abs(found(picture({ blank: 150 }), 1)!)).toBeLessThan(0.1);
  });

  it('is where the colour ends where its shadow goes on in the same line', () => {
    const light = { blank: 130, coloured: 2.5 };
    expect(Math.abs(found(picture(light), 1)!)).toBeLessThan(0.35);
    // where both end together, darkness tells it better
    expect(Math.abs(found(picture({ ...light, coloured: 0 }), 1)!)).toBeLessThan(0.1);
  });

  it('is where the side ends from which its shadow goes on least, and doubted by how far the other goes on', () => {
    const square = tipIn(picture({}));
    const slanted = tipIn(picture({ shadowOn: 1 }));
    expect(Math.abs(slanted.offset)).toBeLessThan(0.25);
    expect(slanted.sigma).toBeGreaterThan(2 * square.sigma);
    expect(Math.abs(slanted.offset) * perMm).toBeLessThan(2 * slanted.sigma);
  });

  const tipIn = (photo: Photo) =>
    findTip(photo, camera, { t: 0, point: [0, 0, 0], along: [1, 0, 0], radius }, { reach: 16, bleed: 0 })!;

  it('is where a pale blank ends, not where its darker shadow in its line does, and doubted by how far that goes on', () => {
    const pale = tipIn(picture({ blank: 195, inLine: { by: 2, level: 160 } }));
    expect(Math.abs(pale.offset)).toBeLessThan(0.4);
    expect(pale.sigma / perMm).toBeGreaterThan(0.6);
    // a shadow no darker than the blank cannot be told from it
    expect(tipIn(picture({ blank: 195 })).sigma).toBeLessThan(pale.sigma);
  });

  it('is doubted where it fades, and where the blank is as pale as a soft shadow', () => {
    const sigmaOf = (photo: Photo) => tipIn(photo).sigma / perMm;
    expect(sigmaOf(picture({ blank: 196 }))).toBeGreaterThan(0.5);
    expect(sigmaOf(picture({ blank: 120 }))).toBeLessThan(0.1);
    const fading = picture({ blank: 120 });
    const faded = fading.luma.map((value, k) => {
      const x = ((k % width) - (width - 1) / 2) / perMm;
      return x > 0 && x < 4 && value < 200 ? Math.round(220 - 25 * x) : value;
    });
    expect(sigmaOf({ ...fading, luma: faded })).toBeGreaterThan(0.6);
  });

  it('is not made up where there is no blank', () => {
    expect(found(picture({ blank: 220 }), 0)).toBeUndefined();
  });
});
