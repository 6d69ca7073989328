import type { Stretch } from '../../plan/stretch.ts';
import { type ClassGrid, type ClassName, classNames } from './sighting.ts';

/** Where on a photo's strip something would show, mm. */
export interface StripBox {
  along: Stretch;
  /** places across from the axis: `from` to `to` */
  across: Stretch;
}

/** When a stretch of strip counts as clearly bare. */
export const bareness = {
  /** of the cells on the blank itself, this share is blank (or what may lie on a bare blank), */
  blank: 0.9,
  /** on average this certainly, 0 to 1, */
  certainty: 0.7,
  /** and no more than this share of the whole box is anything that belongs to a guide, or that could hide one */
  things: 0.01,
  /** a cell counts as a thing from this certainty on, 0 to 1: at borders of classes the map wavers */
  thingCertainty: 0.5,
} as const;

const onBareBlank: readonly ClassName[] = ['blank', 'wax'];
const ofGuidesOrHiding: readonly ClassName[] = ['tape', 'thread', 'frame', 'ring', 'wire', 'tube', 'grip', 'other'];
const onBlankWithoutMark: readonly ClassName[] = ['blank'];
const ofMarksOrHiding: readonly ClassName[] = [
  'wax',
  'tape',
  'thread',
  'frame',
  'ring',
  'wire',
  'tube',
  'grip',
  'other',
];

/**
 * Whether a photo clearly shows bare blank where a guide, its foot and its frame would show: `radius` = the blank's
 * there, mm.
 */
export const isBareOfGuide = (classes: ClassGrid, box: StripBox, radius: number): boolean =>
  isBare(classes, box, radius, onBareBlank, ofGuidesOrHiding);

/** Whether a photo clearly shows blank without a mark. */
export const isBareOfMark = (classes: ClassGrid, box: StripBox, radius: number): boolean =>
  isBare(classes, box, radius, onBlankWithoutMark, ofMarksOrHiding);

function isBare(
  { from, across: first, step, rows, columns, classes, certainty }: ClassGrid,
  { along, across }: StripBox,
  radius: number,
  blank: readonly ClassName[],
  things: readonly ClassName[],
): boolean {
  const index = (place: number, origin: number) => Math.round((place - origin) / step);
  const [left, right] = [index(along.from, from), index(along.to, from)];
  const [low, high] = [index(across.from, first), index(across.to, first)];
  if (left < 0 || right >= columns || low < 0 || high >= rows) return false;
  // Even where the blank is thinner than a cell, the cells nearest to its axis show it.
  const half = Math.max(radius - step / 2, step / 2);
  const count = { cells: 0, things: 0, onBlank: 0, bare: 0, certainty: 0 };
  for (let row = low; row <= high; row++) {
    const onBlank = Math.abs(first + row * step) <= half;
    for (let column = left; column <= right; column++) {
      const i = row * columns + column;
      const sure = certainty[i]! / 255;
      // Where the photo ends nothing shows, neither blank nor guide.
      if (sure === 0) return false;
      const name = classNames[classes[i]!]!;
      count.cells++;
      if (things.includes(name) && sure >= bareness.thingCertainty) count.things++;
      if (!onBlank) continue;
      count.onBlank++;
      count.certainty += sure;
      if (blank.includes(name)) count.bare++;
    }
  }
  return (
    count.onBlank > 0 &&
    count.bare >= bareness.blank * count.onBlank &&
    count.certainty >= bareness.certainty * count.onBlank &&
    count.things <= bareness.things * count.cells
  );
}
