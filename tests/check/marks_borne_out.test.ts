import { expect, test } from 'vitest';
import type { FittedMark } from '../../src/adjust/mark_fit.ts';
import { marksBorneOut } from '../../src/check/marks_borne_out.ts';
import type { ClassName, StripSeen } from '../../src/vision/finder/sighting.ts';
import { blankOnPaper, paint } from '../world/made_up_sightings.ts';
import { straightAxis } from '../world/synthetic_blank.ts';

const axis = straightAxis(400, 1, 5, 8);

/** What a photo's strip shows, something painted over the blank at 200 mm. */
const strip = (view: number, name?: ClassName): StripSeen => {
  const classes = blankOnPaper(axis, { from: 100, to: 300 });
  if (name) paint(classes, name, { along: 200, across: 0, half: 2 });
  return { view, covers: { from: 100, to: 300 }, pixelsPerMm: 5, sightings: [], classes };
};
const band = (views: number[]) =>
  ({
    tipEdge: { value: 199.2, u: 0.1 },
    buttEdge: { value: 200.8, u: 0.1 },
    views,
    clutter: 0.1,
  }) as unknown as FittedMark;
const counts = (...names: (ClassName | undefined)[]) => {
  const strips = names.map((name, view) => strip(view, name));
  return marksBorneOut([band(names.map((_, view) => view))], axis, strips).length === 1;
};

test('a band is a mark where some photo shows wax, or half of them bare blank round it', () => {
  expect(counts('wax')).toBe(true);
  expect(counts('other', 'wax', 'other')).toBe(true);
  expect(counts(undefined)).toBe(true);
  expect(counts('thread', undefined)).toBe(true);
});

test('a band without wax, with others as strong beside it, needs a second photo', () => {
  const cluttered = (views: number[]) => ({ ...band(views), clutter: 0.8 });
  const strips = [strip(0), strip(1), strip(2, 'wax')];
  expect(marksBorneOut([cluttered([0])], axis, strips)).toEqual([]);
  expect(marksBorneOut([cluttered([0, 1])], axis, strips)).toHaveLength(1);
  expect(marksBorneOut([cluttered([2])], axis, strips)).toHaveLength(1);
});

test('a finger’s or a thread’s edge is none', () => {
  expect(counts('other')).toBe(false);
  expect(counts('other', undefined, undefined)).toBe(false);
  expect(counts('thread', 'thread', undefined)).toBe(false);
});

test('a photo in which the axis lies beside the blank says nothing, and where all do there is none', () => {
  const beside = (view: number): StripSeen => {
    const own = strip(view);
    for (const along of [196, 204]) paint(own.classes, 'shadow', { along, across: 0, half: 3 });
    return own;
  };
  expect(marksBorneOut([band([0, 1])], axis, [strip(0), beside(1)])).toHaveLength(1);
  expect(marksBorneOut([band([0])], axis, [beside(0)])).toEqual([]);
});

test('what photos show that do not show the band says nothing of it', () => {
  const strips = [strip(0), strip(1, 'other'), strip(2, 'other')];
  expect(marksBorneOut([band([0])], axis, strips)).toHaveLength(1);
});

test('one at the edge of what photos show is none', () => {
  const edge = { ...band([0]), tipEdge: { value: 297.4, u: 0.1 }, buttEdge: { value: 299, u: 0.1 } };
  expect(marksBorneOut([edge], axis, [strip(0)])).toEqual([]);
});
