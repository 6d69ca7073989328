import { describe, expect, test } from 'vitest';
import type { RingCandidate } from '../../src/adjust/ring_candidate.ts';
import type { Slide } from '../../src/adjust/slide.ts';
import type { FoundSnake } from '../../src/check/find_snakes.ts';
import type { Rod } from '../../src/check/rod.ts';
import {
  doubtedWhole,
  possibleSlideNote,
  refuseIfUnmeasured,
  slideOfGuides,
  slideToLookAnewFor,
} from '../../src/check/slide_by_guides.ts';
import { besideAxis, crossSection } from '../../src/geometry/blank_axis.ts';
import { stripPlace } from '../../src/vision/finder/strip_place.ts';
import { measuring } from '../world/measured_rod.ts';
import { seededNormal } from '../world/seeded_random.ts';

const { blank, views } = measuring;
const rod = { ...measuring, slides: [] } as unknown as Rod;
const last = views.list.length - 1;

/** Snake guides along the blank as photos sight them, which from the last but one on show them so far on, mm. */
function snakes(slid: number, seed: number): FoundSnake[] {
  const normal = seededNormal(seed);
  return [100, 150, 200, 250, 300, 350, 400, 450].map((along) => {
    const section = crossSection(blank.axis, along);
    const up = section.radius + 2;
    const sightings = views.list.flatMap(({ camera }, view) => {
      const shows = stripPlace(camera, blank.axis, besideAxis(section, 0, up), along);
      return shows ? [{ view, along: shows.along + (view >= last ? slid : 0) + 0.3 * normal() }] : [];
    });
    return { candidate: { along, right: 0, up, outer: 6, sightings } as unknown as RingCandidate } as FoundSnake;
  });
}

const asked = (slid: number, seed: number) =>
  slideOfGuides(rod, { rings: [], snakes: snakes(slid, seed) }, [], { kind: 'blocks', axisHeight: 20 });

describe('snake guides, sighted by each photo', () => {
  test('tell between which photos the rod slid, and by how much', () => {
    for (const slid of [3, -3])
      for (let seed = 1; seed <= 5; seed++) {
        const slide = asked(slid, seed)!;
        expect([slide.told, slide.from], `${slid} mm, seed ${seed}`).toEqual(['measured', last]);
        expect(Math.abs(slide.along.value - slid), `${slid} mm, seed ${seed}`).toBeLessThan(3 * slide.along.u);
      }
  });

  test('tell nothing of a rod that lay still', () => {
    for (let seed = 1; seed <= 20; seed++) expect(asked(0, seed), `seed ${seed}`).toBeUndefined();
  });
});

describe('a slide that guides do not measure', () => {
  const slide: Slide = { from: 2, along: { value: -0.9, u: 0.2 } };

  test('is refused where it is certain, with the photos’ names, and not where it may be chance', () => {
    expect(() => refuseIfUnmeasured({ ...slide, told: 'certain' }, ['2.jpg', '3.jpg'])).toThrow(
      /^Between 2\.jpg and 3\.jpg the rod slid lengthwise/,
    );
    expect(() => refuseIfUnmeasured({ ...slide, told: 'possible' }, ['2.jpg', '3.jpg'])).not.toThrow();
  });

  test('is left in doubt as a whole where it may be chance, and that is said', () => {
    expect(doubtedWhole(slide).along.value).toBe(0);
    expect(doubtedWhole(slide).along.u).toBeCloseTo(Math.hypot(0.9, 0.2), 12);
    expect(possibleSlideNote(slide, ['2.jpg', '3.jpg'])).toContain('may have slid lengthwise, by about 0.9 mm');
  });
});

describe('the rod is looked at anew', () => {
  const byBands: Slide[] = [{ from: 2, along: { value: 1.2, u: 0.2 } }];
  const guides = (told: 'measured' | 'certain' | 'possible', value: number, from = 2) =>
    slideToLookAnewFor({ from, along: { value, u: 0.15 }, told }, byBands);

  test('for what guides measure, wherever that is', () => {
    expect(guides('measured', -0.6)?.along.value).toBe(-0.6);
    expect(guides('measured', 0.9, 3)).toMatchObject({ from: 3, along: { value: 0.9 } });
  });

  test('as it lay at rest where what guides speak for leaves a slide that bands told within its doubt', () => {
    const back = { from: 2, along: { value: -1.2, u: 0.2 } };
    expect(guides('certain', -0.6)).toEqual(back);
    expect(guides('possible', -0.6)).toEqual(back);
    expect(guides('possible', 0.5)).toEqual(back);
  });

  test('not where the slide stands beside what may be chance, nor for what bands did not tell', () => {
    expect(guides('possible', -0.2)).toBeUndefined();
    expect(guides('possible', -0.6, 3)).toBeUndefined();
    expect(guides('certain', -0.6, 3)).toBeUndefined();
    expect(slideToLookAnewFor(undefined, byBands)).toBeUndefined();
  });
});
