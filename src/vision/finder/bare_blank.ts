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

/** This share of paper on a stretch is nothing but paper. */
const paperShare = 0.5;

/** When a band is the builder's mark by its look (held to the drawn rods of `marks_borne_out.test.ts`). */
const marked = {
  /** wax shows in it and so far beside it, mm: the map has cells of a millimetre and wavers at borders */
  near: 1.5,
  /** at least this much of it for each cell of something else */
  wax: 0.5,
  /** and blank beside it, from so far off to so far off, mm, in this share of the cells on either side */
  beside: { from: 1, to: 5 },
  blank: 0.6,
  /** this share of what lies over the blank in and round it covers it; the axis is off where so much shows no blank */
  covered: 0.2,
  off: 0.5,
} as const;

/** When a stretch of strip counts as covered: this share of the cells, on the blank itself and round it. */
const coveredShare = { onBlank: 0.8, box: 0.7 } as const;

const onBareBlank: readonly ClassName[] = ['blank', 'wax'];
const ofGuidesOrHiding: readonly ClassName[] = ['tape', 'thread', 'frame', 'ring', 'wire', 'tube', 'grip', 'other'];
/** What no wax mark shows. */
const otherThings: readonly ClassName[] = ['tape', 'thread', 'frame', 'ring', 'wire', 'tube', 'grip', 'other'];
const besideBlank: readonly ClassName[] = ['paper', 'shadow'];
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

/**
 * Whether a photo shows something else over the blank in all of the box, a hand or a tool, that hides what is there:
 * `radius` = the blank's there, mm.
 */
export function isCovered(classes: ClassGrid, box: StripBox, radius: number): boolean {
  const cells = cellsIn(classes, box, radius);
  if (!cells) return false;
  const isOther = ({ name, sure }: Cell) => name === 'other' && sure >= bareness.thingCertainty;
  const onBlank = cells.filter((cell) => cell.onBlank);
  return (
    onBlank.filter(isOther).length >= coveredShare.onBlank * onBlank.length &&
    cells.filter(isOther).length >= coveredShare.box * cells.length
  );
}

function isBare(
  classes: ClassGrid,
  box: StripBox,
  radius: number,
  blank: readonly ClassName[],
  things: readonly ClassName[],
): boolean {
  const cells = cellsIn(classes, box, radius);
  if (!cells) return false;
  const onBlank = cells.filter((cell) => cell.onBlank);
  const isThing = ({ name, sure }: Cell) => things.includes(name) && sure >= bareness.thingCertainty;
  return (
    onBlank.length > 0 &&
    onBlank.filter(({ name }) => blank.includes(name)).length >= bareness.blank * onBlank.length &&
    onBlank.reduce((sum, { sure }) => sum + sure, 0) >= bareness.certainty * onBlank.length &&
    cells.filter(isThing).length <= bareness.things * cells.length
  );
}

/** What a photo's strip says of a band across the blank. */
export type BandLook = 'mark' | 'on-blank' | 'covered' | 'beside' | 'neither';

/**
 * What a photo's strip says of a band across the blank (arc lengths of its edges, mm; `radius` = the blank's there,
 * mm): a mark, where wax shows in it; a band on bare blank, where nothing else lies in it and blank on both sides; one
 * of what lies over the blank, a hand or a tool; one beside the blank, where no blank shows next to it, the axis lying
 * beside it in this photo; or none of these: a thread's edge, the end of the blank. Undefined where it does not show
 * all of it.
 */
export function bandLook(classes: ClassGrid, band: Stretch, radius: number): BandLook | undefined {
  const onBlank = (from: number, to: number) =>
    cellsIn(classes, { along: { from, to }, across: { from: -radius, to: radius } }, radius)?.filter(
      (cell) => cell.onBlank,
    );
  const { near, beside } = marked;
  const inBand = onBlank(band.from - near, band.to + near);
  const before = onBlank(band.from - beside.to, band.from - beside.from);
  const after = onBlank(band.to + beside.from, band.to + beside.to);
  if (!inBand) return undefined;
  const wax = shareOf(inBand, ['wax']);
  const other = shareOf(inBand, otherThings);
  if (wax > 0 && wax >= marked.wax * other) return 'mark';
  if (!before || !after) return undefined;
  const sides = [before, after];
  if (sides.every((cells) => shareOf(cells, besideBlank) > marked.off)) return 'beside';
  if (shareOf([...inBand, ...before, ...after], ['other']) >= marked.covered) return 'covered';
  const isBare = sides.every((cells) => shareOf(cells, onBareBlank) >= marked.blank);
  return isBare && other === 0 ? 'on-blank' : 'neither';
}

const shareOf = (cells: readonly Cell[], names: readonly ClassName[]): number =>
  cells.filter(({ name }) => names.includes(name)).length / cells.length;

/** Whether a photo's strip shows paper in the blank's line. False where it does not show all of the stretch. */
export function isPaper(classes: ClassGrid, along: Stretch): boolean {
  const cells = cellsIn(classes, { along, across: { from: 0, to: 0 } }, 0);
  return cells !== undefined && shareOf(cells, ['paper']) >= paperShare;
}

interface Cell {
  name: ClassName;
  /** 0 to 1 */
  sure: number;
  onBlank: boolean;
}

/** The cells of a box; undefined where the strip or its photo does not show all of it. */
function cellsIn(
  { from, across: first, step, rows, columns, classes, certainty }: ClassGrid,
  { along, across }: StripBox,
  radius: number,
): Cell[] | undefined {
  const index = (place: number, origin: number) => Math.round((place - origin) / step);
  const [left, right] = [index(along.from, from), index(along.to, from)];
  const [low, high] = [index(across.from, first), index(across.to, first)];
  if (left < 0 || right >= columns || low < 0 || high >= rows) return undefined;
  // Even where the blank is thinner than a cell, the cells nearest to its axis show it.
  const half = Math.max(radius - step / 2, step / 2);
  const cells: Cell[] = [];
  for (let row = low; row <= high; row++) {
    const onBlank = Math.abs(first + row * step) <= half;
    for (let column = left; column <= right; column++) {
      const i = row * columns + column;
      const sure = certainty[i]! / 255;
      // Where the photo ends nothing shows, neither blank nor guide.
      if (sure === 0) return undefined;
      cells.push({ name: classNames[classes[i]!]!, sure, onBlank });
    }
  }
  return cells;
}
