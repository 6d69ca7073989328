import { describe, expect, test, vi } from 'vitest';
import { type FittedMark, fitMarks } from '../../src/adjust/mark_fit.ts';
import { gripStart } from '../../src/vision/grip_start.ts';
import { joinMarkSearches, searchMarks } from '../../src/vision/mark_search.ts';
import type { View } from '../../src/vision/strip.ts';
import {
  cameraOver,
  type PaintedBand,
  paintBands,
  type Reflectance,
  renderBlank,
  type SyntheticScene,
  straightAxis,
} from '../world/synthetic_blank.ts';

// Rendering takes seconds on a busy machine.
vi.setConfig({ testTimeout: 60_000 });

const WHITE: Reflectance = [0.75, 0.75, 0.72];
const RED: Reflectance = [0.3, 0.02, 0.02];
const TAN: Reflectance = [0.7, 0.55, 0.3];
const LENGTH = 200;
const RANGE = { from: 0, to: LENGTH };
const axis = straightAxis(LENGTH, 1.8, 3, 10);
const black = (): Reflectance => [0.012, 0.012, 0.013];
/** Honey with the spiral that winding the blank leaves in it. */
const honey = (s: number, roll: number): Reflectance => {
  const k = 1 + 0.1 * Math.sin(2 * Math.PI * (s / 7 + roll / 360));
  return [0.45 * k, 0.2 * k, 0.03 * k];
};
const gloss = { strength: 0.8, exponent: 200 };
const WIDE = { width: 1080, height: 220 };
const SIZE = { width: 1080, height: 110 };

/** Two photos as in a walk: one from straight above, one from the side. */
function walk(scene: Omit<SyntheticScene, 'axis'>): View[] {
  return [
    renderBlank({ axis, ...scene, seed: 1 }, cameraOver(90, 600, SIZE)),
    renderBlank({ axis, ...scene, seed: 2 }, cameraOver(110, 600, { ...SIZE, tilt: 12 })),
  ];
}

const searchAll = (views: View[]) =>
  joinMarkSearches(views.map((view, index) => searchMarks(view, index, axis, RANGE)));
const find = (views: View[]): FittedMark[] => fitMarks(searchAll(views));
const centres = (marks: FittedMark[]): number[] => marks.map((mark) => mark.centre.value);

function expectPlaces(marks: FittedMark[], bands: PaintedBand[]): void {
  expect(centres(marks).map((s) => Math.round(s))).toEqual(bands.map((band) => Math.round(band.centre)));
  for (const [i, band] of bands.entries()) {
    const mark = marks[i]!;
    const error = Math.abs(mark.centre.value - band.centre);
    expect(error, `mark at ${band.centre}`).toBeLessThan(0.12);
    expect(error, `mark at ${band.centre} against its uncertainty`).toBeLessThan(3 * mark.centre.u);
  }
}

describe('marks on a dark blank', () => {
  const bands: PaintedBand[] = [
    { centre: 22.37, width: 1.1, colour: WHITE, ragged: 0.1, seed: 1 },
    { centre: 58.12, width: 2.1, colour: WHITE, ragged: 0.12, seed: 2, opacity: 0.6 },
    { centre: 97.81, width: 1.4, colour: WHITE, ragged: 0.08, seed: 3, rolls: [-60, 200] },
    // drawn twice, the builder unsure which one is right
    { centre: 150.05, width: 1.3, colour: WHITE, ragged: 0.08, seed: 4 },
    { centre: 154.4, width: 1.5, colour: WHITE, ragged: 0.08, seed: 5 },
  ];
  const speck = (s: number, roll: number): boolean =>
    [
      [35, 10],
      [75, -30],
      [171, 25],
    ].some((p) => Math.hypot(s - p[0]!, ((roll - p[1]!) * Math.PI * 2.4) / 180) < 0.25);
  const ground = (s: number, roll: number): Reflectance =>
    speck(s, roll) ? WHITE : s > 120 && s < 132 ? TAN : black();
  const marks = find(walk({ paint: paintBands(ground, bands, 2.4), gloss }));

  test('a patch of dirt, faint beside all the others and not across the blank, is none', () => {
    const { sightings, searched } = searchAll(walk({ paint: paintBands(ground, bands, 2.4), gloss }));
    const among = (likeness: number, coverage: number) => {
      const patches = sightings
        .filter(({ tipEdge, buttEdge }) => tipEdge < 22.37 && buttEdge > 22.37)
        .map((seen) => ({
          ...seen,
          tipEdge: seen.tipEdge + 18,
          buttEdge: seen.buttEdge + 18,
          coverage,
          colour: seen.colour.map((level, i) => seen.ground[i]! + likeness * (level - seen.ground[i]!)) as never,
        }));
      expect(patches.length).toBeGreaterThan(0);
      return centres(fitMarks({ sightings: [...sightings, ...patches], searched })).some((s) => Math.abs(s - 40.4) < 1);
    };
    expect(among(0.12, 0.7)).toBe(false);
    // a faint one all the way across is a mark, and so is a clear one that is not
    expect(among(0.12, 0.95)).toBe(true);
    expect(among(0.6, 0.7)).toBe(true);
  });

  test('are all found at their places, a doubled one as two; dust, tape and highlight are not marks', () => {
    expectPlaces(marks, bands);
  });

  test('have width, colour and the photos that show them', () => {
    expect(marks.map((mark) => mark.colour)).toEqual(['white', 'white', 'white', 'white', 'white']);
    for (const [i, mark] of marks.entries()) {
      expect(Math.abs(mark.width.value - bands[i]!.width)).toBeLessThan(0.2);
      expect(new Set(mark.views)).toEqual(new Set([0, 1]));
    }
  });
});

test('red marks on a glossy honey blank with a spiral are found, the spiral is not', () => {
  const bands: PaintedBand[] = [
    { centre: 30.6, width: 1.2, colour: RED, ragged: 0.1, seed: 11 },
    { centre: 88.2, width: 1.8, colour: RED, ragged: 0.1, seed: 12 },
    { centre: 160.9, width: 1, colour: RED, ragged: 0.06, seed: 13 },
  ];
  const marks = find(walk({ paint: paintBands(honey, bands, 2.4), gloss, lamp: [0, 0.3, 0.954] }));
  expectPlaces(marks, bands);
  expect(marks.map((mark) => mark.colour)).toEqual(['red', 'red', 'red']);
});

test('a blank without marks has none', () => {
  expect(find(walk({ paint: honey, gloss }))).toEqual([]);
});

test('one photo from farther away gives places within its own uncertainty', () => {
  const bands: PaintedBand[] = [25.3, 61.7, 98.4, 131.2, 171.6].map((centre, i) => ({
    centre,
    width: 1.2 + 0.3 * i,
    colour: WHITE,
    ragged: 0.08,
    seed: 21 + i,
  }));
  const shot = cameraOver(100, 1100, { width: 600, height: 90 });
  const marks = find([renderBlank({ axis, paint: paintBands(black, bands, 2.4), noise: 3 }, shot)]);
  expectPlaces(marks, bands);
});

test('the letters of a decal are not marks, a band beside them is one', () => {
  const band: PaintedBand = { centre: 128.4, width: 1.6, colour: WHITE, ragged: 0.08, seed: 31 };
  /** Letters 40 degrees high every 4 mm: an upright each, and a bar at top or bottom of every second. */
  const lettered = (s: number, roll: number): Reflectance => {
    const place = (s - 60) % 4;
    const inLetter = s > 60 && s < 116 && Math.abs(roll) < 20;
    const bar = Math.floor((s - 60) / 4) % 2 === 0 && place < 2.6 && Math.abs(Math.abs(roll) - 17) < 3;
    return inLetter && (place < 0.8 || bar) ? WHITE : black();
  };
  expectPlaces(find(walk({ paint: paintBands(lettered, [band], 2.4) })), [band]);
});

test('a bright band that only one photo of three shows is a reflection', () => {
  const band: PaintedBand = { centre: 100, width: 1.5, colour: WHITE };
  const views = [0, 1, 2].map((i) =>
    renderBlank(
      { axis, paint: i === 1 ? paintBands(black, [band], 2.4) : black, seed: i + 1 },
      cameraOver(90 + 10 * i, 600, SIZE),
    ),
  );
  expect(find(views)).toEqual([]);
});

test('the builder may mark with an edge of the band', () => {
  const band: PaintedBand = { centre: 100, width: 2, colour: WHITE };
  const views = [renderBlank({ axis, paint: paintBands(black, [band], 2.4) }, cameraOver(100, 600, SIZE))];
  const along = (markedBy: 'centre' | 'tip-edge' | 'butt-edge'): number =>
    fitMarks(searchAll(views), markedBy)[0]!.along.value;
  expect(along('centre')).toBeCloseTo(100, 1);
  expect(Math.abs(along('tip-edge') - 99)).toBeLessThan(0.1);
  expect(Math.abs(along('butt-edge') - 101)).toBeLessThan(0.1);
});

describe('the grip', () => {
  const gripped = { ...axis, radii: axis.radii.map((r, i) => (i >= 14 ? 9 : r)) };

  test('begins where the outline widens suddenly on both sides', () => {
    const views = [renderBlank({ axis: gripped, paint: black }, cameraOver(100, 600, WIDE))];
    // the synthetic radius runs up from 130 to 140 mm
    expect(gripStart(views, axis)).toBeGreaterThan(129);
    expect(gripStart(views, axis)).toBeLessThan(141);
  });

  test('is none where something else is sure of the bare blank', () => {
    const views = [renderBlank({ axis: gripped, paint: black }, cameraOver(100, 600, WIDE))];
    expect(gripStart(views, axis, () => true)).toBeUndefined();
    expect(gripStart(views, axis, ({ to }) => to < 100)).toBeGreaterThan(129);
  });

  test('is not what covers the blank on the way, with more of it bare beyond than a split grip leaves', () => {
    const long = straightAxis(640, 1.5, 4, 40);
    const covered = (to: number) => ({ ...long, radii: long.radii.map((r, i) => (i >= 24 && i <= to ? 11 : r)) });
    const shot = cameraOver(320, 1200, { ...WIDE, focal: 2400 });
    const hand = renderBlank({ axis: covered(31), paint: black }, shot);
    expect(gripStart([hand], long)).toBeUndefined();
    const grip = gripStart([renderBlank({ axis: covered(64), paint: black }, shot)], long);
    expect(grip).toBeGreaterThan(228);
    expect(grip).toBeLessThan(242);
  });

  test('is not found on a bare blank', () => {
    expect(gripStart([renderBlank({ axis, paint: black }, cameraOver(100, 600, WIDE))], axis)).toBeUndefined();
  });
});
