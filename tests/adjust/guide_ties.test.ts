import { describe, expect, test } from 'vitest';
import type { GuideByPhoto, GuideReading } from '../../src/adjust/guide_problem.ts';
import { guidesDeny, slideByGuides } from '../../src/adjust/guide_ties.ts';
import { seededNormal, seededUniform } from '../world/seeded_random.ts';

interface Walk {
  seed: number;
  views?: number;
  slide?: { from: number; by: number };
  /** mm by which the axis is taken too low, all along */
  sunk?: number;
  /** the plan counts all heights to the ring's top: its share of the radius */
  toTheTop?: number;
  /** share of readings that are of something else */
  strays?: number;
  /** where the photos are taken from, mm along; stepping along the rod when absent */
  eyes?: readonly number[];
  /** this guide alone stands so far off in the views after the slide, mm */
  nudged?: { guide: number; from: number; by: number };
}

const places = [80, 170, 265, 370, 480, 600, 730, 870];
const reading = 0.09;
const off = (views: number) => ({ drift: Array.from({ length: views }, () => 0.06), height: 0.5 });

/** What photos that step along a rod read of its guides, each by itself, from 600 mm over it. */
function walk({ seed, views = 4, slide, sunk = 0, toTheTop = 0, strays = 0, nudged, ...from }: Walk): GuideByPhoto[] {
  const [normal, uniform] = [seededNormal(seed), seededUniform(seed + 1000)];
  const drifts = Array.from({ length: views }, () => 0.04 * normal());
  const eyes = from.eyes ?? Array.from({ length: views }, (_, view) => 150 + (view * 650) / (views - 1));
  return places.map((along, guide) => {
    const radius = 3 + guide / 2;
    // what it is reckoned too low by, of which the plan tells a part
    const ownRise = 0.4 * normal();
    const lift = sunk + ownRise;
    const readings = eyes.flatMap((eye, view): GuideReading[] => {
      if (Math.abs(along - eye) > 330) return [];
      const perHeight = (along - eye) / 600;
      const slid = slide && view >= slide.from ? slide.by : 0;
      const own = nudged?.guide === guide && view >= nudged.from ? nudged.by : 0;
      const stray = uniform() < strays ? 1.5 * normal() : 0;
      const place = slid + own + stray + drifts[view]! + perHeight * lift + reading * normal();
      return [{ view, perHeight, places: [{ off: place, u: reading, unlikely: 0 }] }];
    });
    const rise = { value: ownRise + toTheTop * radius + 0.3 * normal(), u: 0.6 };
    return { along, rise, countedOver: radius, readings };
  });
}

const told = (one: Walk) => slideByGuides(walk(one), off(one.views ?? 4));

describe('guides asked in each photo by itself tell where the rod slid', () => {
  test('a rod that lay still is never said to have slid, whatever drifts, sunk axes and strays there are', () => {
    for (let seed = 1; seed <= 120; seed++) {
      const one: Walk = {
        seed,
        views: 3 + (seed % 4),
        sunk: 0.5 * Math.sin(seed),
        toTheTop: seed % 5 === 0 ? 1 : 0,
        strays: 0.02 * (seed % 4),
      };
      expect(told(one)?.told ?? 'possible', `seed ${seed}`).toBe('possible');
    }
  });

  test('slides of 0.7 mm and more are measured between the right photos, within their doubt', () => {
    let [inside, measured, all] = [0, 0, 0];
    for (const by of [0.7, -1, 1.6, -2.4, 4])
      for (let seed = 1; seed <= 20; seed++) {
        const from = 1 + (seed % 3);
        const slide = told({ seed, slide: { from, by }, sunk: 0.4 * Math.sin(seed) });
        all++;
        if (slide?.told !== 'measured') continue;
        measured++;
        expect(slide.from, `${by} mm, seed ${seed}`).toBe(from);
        expect(Math.abs(slide.along.value - by), `${by} mm, seed ${seed}`).toBeLessThan(4 * slide.along.u);
        if (Math.abs(slide.along.value - by) < 2 * slide.along.u) inside++;
      }
    expect(measured).toBeGreaterThan(0.85 * all);
    expect(inside).toBeGreaterThan(0.9 * measured);
  });

  test('what one guide alone shows is no slide', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const slide = told({ seed, nudged: { guide: 3 + (seed % 3), from: 2, by: 2.5 } });
      expect(slide?.told ?? 'possible', `seed ${seed}`).toBe('possible');
    }
  });

  test('photos from two places alone tell one by planned heights, be they counted to the centre or the top', () => {
    // A slide moves what either place shows as heights that are all off would.
    const eyes = [250, 250, 600, 600];
    const noticed = (one: Omit<Walk, 'seed'>) =>
      Array.from({ length: 20 }, (_, i) => told({ seed: i + 1, eyes, ...one })).filter((slide) => slide?.from === 2);
    const slid = noticed({ slide: { from: 2, by: 1.2 } });
    expect(slid.length).toBeGreaterThan(13);
    for (const slide of slid) expect(Math.abs(slide!.along.value - 1.2)).toBeLessThan(3 * slide!.along.u);
    // As many may have slid farther, their heights counted to the centre: that is for the doubt.
    const toTheTop = noticed({ slide: { from: 2, by: 1.2 }, toTheTop: 0.87 });
    expect(toTheTop.length).toBeGreaterThan(13);
    expect(toTheTop.every((slide) => slide!.told === 'possible')).toBe(true);
    expect([...noticed({}), ...noticed({ toTheTop: 0.87 })]).toEqual([]);
  });

  test('one guide that both sides show is too few', () => {
    const alone = walk({ seed: 1, slide: { from: 2, by: 2 } }).filter(({ along }) => along === 480);
    expect(slideByGuides(alone, off(4))).toBeUndefined();
  });

  test('a rim taken for its neighbour is told from the likelier place by what the other guides say', () => {
    const slid = walk({ seed: 7, slide: { from: 2, by: 1.2 } });
    const misread = slid.map((guide, i) =>
      i !== 4
        ? guide
        : {
            ...guide,
            readings: guide.readings.map((own) => {
              const [right] = own.places;
              if (own.view < 2) return own;
              return {
                ...own,
                places: [
                  { ...right!, off: right!.off + 1.7 },
                  { ...right!, unlikely: 3 },
                ],
              };
            }),
          },
    );
    const [without, withMisread] = [slid, misread].map((guides) => slideByGuides(guides, off(4)));
    expect(withMisread?.told).toBe('measured');
    expect(withMisread!.along.value).toBeCloseTo(without!.along.value, 1);
  });

  test('a slide that two places of every guide would explain alike is certain, and not measured', () => {
    const slid = walk({ seed: 3, slide: { from: 2, by: 2 } });
    const twofold = slid.map((guide) => ({
      ...guide,
      readings: guide.readings.map((own) => {
        const [right] = own.places;
        return own.view < 2 ? own : { ...own, places: [right!, { ...right!, off: right!.off + 2 }] };
      }),
    }));
    expect(slideByGuides(twofold, off(4))?.told).toBe('certain');
  });
});

describe('a slide that other things show', () => {
  const deny = (one: Walk, from: number, by: number, guides = walk(one)) =>
    guidesDeny(guides, off(one.views ?? 4), { from, along: { value: by, u: 1 } });

  test('is denied by guides of a rod that lay still, and by those of one that slid the other way', () => {
    for (let seed = 1; seed <= 10; seed++) {
      expect(deny({ seed, sunk: 4 }, 2, -3.75), `seed ${seed}`).toBe(true);
      expect(deny({ seed, slide: { from: 2, by: 3 } }, 2, -3), `seed ${seed}`).toBe(true);
    }
  });

  test('is not by guides of a rod that slid about so far, nor where both sides show fewer than two', () => {
    for (let seed = 1; seed <= 10; seed++)
      expect(deny({ seed, slide: { from: 2, by: 3 } }, 2, 3.6), `seed ${seed}`).toBe(false);
    const one = walk({ seed: 1 }).filter(({ along }) => along === 480);
    expect(deny({ seed: 1 }, 2, 3, one)).toBe(false);
  });
});
