import { describe, expect, test } from 'vitest';
import type { BlankSolution } from '../../src/adjust/blank_adjustment.ts';
import { refuseIfSlid } from '../../src/check/slide.ts';
import type { PlacedViews, TaggedView } from '../../src/check/tagged_views.ts';
import type { StripSeen } from '../../src/vision/finder/sighting.ts';
import type { Slide } from '../../src/adjust/slide.ts';
import type { Stretch } from '../../src/plan/stretch.ts';
import type { View } from '../../src/vision/strip.ts';
import { cameraOver, type Reflectance, renderBlank, straightAxis } from '../world/synthetic_blank.ts';

const length = 240;
const height = 10;
const axis = straightAxis(length, 2, 3, height);

/**
 * What a photo shows of a dark blank: grey bands at these places, and a ring that stands before it; from over `eye` (mm
 * along, over the middle when absent), the rod lying so much higher than it is taken to.
 */
interface Shown {
  bands: readonly number[];
  ring?: number;
  eye?: number;
  higher?: number;
}

const drawn = new Map<string, View>();

function photoOf(shown: Shown, file: string): View {
  const key = JSON.stringify(shown);
  const view = drawn.get(key) ?? draw(shown);
  drawn.set(key, view);
  return { ...view, photo: { ...view.photo, file } };
}

function draw({ bands, ring, eye, higher = 0 }: Shown): View {
  const paint = (s: number): Reflectance => {
    const rim = ring !== undefined && Math.abs(Math.abs(s - ring) - 8) < 1.5;
    const band = bands.some((at) => Math.abs(s - at) < 2.5);
    return rim ? [0.8, 0.8, 0.8] : band ? [0.3, 0.3, 0.3] : [0.02, 0.02, 0.02];
  };
  const lies = straightAxis(length, 2, 3, height + higher);
  const shot = cameraOver(eye ?? length / 2, 600, { width: eye === undefined ? 1300 : 3600, height: 90 });
  return renderBlank({ axis: lies, paint, noise: 1.5 }, shot);
}

interface Asked {
  /** the finder saw the rings */
  sighted?: boolean;
  covers?: Stretch;
  /** bands told the slide */
  measured?: boolean;
  deniedByGuides?: (slide: Slide) => boolean;
}

/** Asks of a walk of these photos whether the rod slid. */
function ask(
  shown: readonly Shown[],
  { sighted = true, covers = { from: 0, to: length }, measured = false, deniedByGuides }: Asked = {},
) {
  const list = shown.map((one, i) => photoOf(one, `${i + 1}.jpg`));
  const views: PlacedViews = { list, photo: list.map((_, i) => i) };
  const tagged = list.map(({ photo }) => ({ photo }) as TaggedView);
  const blank = { axis, covers: list.map(() => covers) } as unknown as BlankSolution;
  const seen = shown.flatMap(({ ring }, view): StripSeen[] => {
    const sightings = ring !== undefined && sighted ? [{ along: ring, radius: 10 }] : [];
    return [{ view, sightings } as unknown as StripSeen];
  });
  const slides = measured ? [{ from: 1, along: { value: 5, u: 0.3 }, bands: 6, alone: 0 }] : [];
  return () => refuseIfSlid({ tagged, views, blank, slides, seen }, { kind: 'flat' }, deniedByGuides);
}

const bands = [40, 66, 170, 207];
const movedBy = (by: number, of: readonly number[] = bands) => of.map((at) => at + by);

describe('the whole pattern on the blank tells that the rod slid', () => {
  test.each([
    [5, /^Between 1.jpg and 2.jpg the rod slid lengthwise by about (4[.][7-9]|5[.][0-3]) mm/],
    [-5, /about (4[.][7-9]|5[.][0-3]) mm/],
    [3.5, /about 3[.][2-8] mm/],
  ])('where bands in both halves moved together by %s mm: refused, and by how much', (by, said) => {
    expect(ask([{ bands }, { bands: movedBy(by) }])).toThrow(said);
  });

  test('between which two photos of a walk', () => {
    expect(ask([{ bands }, { bands }, { bands: movedBy(6) }, { bands: movedBy(6) }])).toThrow(
      /^Between 2.jpg and 3.jpg/,
    );
  });

  test('also past a ring that shows farther along from the next place', () => {
    expect(
      ask([
        { bands, ring: 110 },
        { bands: movedBy(5), ring: 127 },
      ]),
    ).toThrow(/slid lengthwise/);
  });
});

describe('it is not said', () => {
  test('of a rod that lay still', () => {
    expect(ask([{ bands }, { bands }, { bands }])).not.toThrow();
  });

  test('of what shifts less than feet and legs may by themselves', () => {
    expect(ask([{ bands }, { bands: movedBy(2) }])).not.toThrow();
  });

  test('by one feature alone: what moved in one half of the stretch lay still, or is not there, in the other', () => {
    const [one, other] = [
      [40, 66],
      [170, 207],
    ] as const;
    expect(ask([{ bands: one }, { bands: movedBy(5, one) }])).not.toThrow();
    expect(ask([{ bands: other }, { bands: movedBy(5, other) }])).not.toThrow();
    expect(ask([{ bands }, { bands: [...movedBy(5, one), ...other] }])).not.toThrow();
  });

  test('where the two halves moved by different lengths', () => {
    const apart = [...movedBy(4, bands.slice(0, 2)), ...movedBy(7, bands.slice(2))];
    expect(ask([{ bands }, { bands: apart }])).not.toThrow();
  });

  test('of a ring, whose legs the finder did not see as one', () => {
    expect(
      ask(
        [
          { bands: [], ring: 110 },
          { bands: [], ring: 116 },
        ],
        { sighted: false },
      ),
    ).not.toThrow();
  });

  test('of a rod that lies higher than it is taken to, which the photos show from either side', () => {
    const [left, right] = [-110, 350];
    const apart = ask([
      { bands, eye: left, higher: 5 },
      { bands, eye: right, higher: 5 },
    ]);
    expect(apart).not.toThrow();
    // as much, seen from one side
    expect(ask([{ bands }, { bands: movedBy(3.9) }])).toThrow(/about (3[.][6-9]|4[.][0-2]) mm/);
    // and more than any height explains
    expect(
      ask([
        { bands, eye: left },
        { bands: movedBy(9), eye: right },
      ]),
    ).toThrow(/about (8[.][7-9]|9[.][0-3]) mm/);
  });

  test('where guides that both photos show tell that the rod lay still', () => {
    const asked: Slide[] = [];
    const shown = [{ bands }, { bands }, { bands: movedBy(5) }];
    const denying = (answer: boolean) => (slide: Slide) => asked.push(slide) > 0 && answer;
    expect(ask(shown, { deniedByGuides: denying(true) })).not.toThrow();
    expect(asked.map(({ from, along }) => [from, Math.round(along.value)])).toEqual([[2, 5]]);
    expect(ask(shown, { deniedByGuides: denying(false) })).toThrow(/slid lengthwise/);
  });

  test('where the bands have measured the slide, or the photos share too little of the blank', () => {
    expect(ask([{ bands }, { bands: movedBy(5) }], { measured: true })).not.toThrow();
    expect(ask([{ bands }, { bands: movedBy(5) }], { covers: { from: 130, to: 205 } })).not.toThrow();
  });
});
