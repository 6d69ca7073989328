import type { ClassGrid, ClassName } from './sighting.ts';
import { type Cell, cellsIn, type StripBox } from './strip_cells.ts';

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

/** When a stretch of strip counts as covered: this share of the cells, on the blank itself and round it. */
const coveredShare = { onBlank: 0.8, box: 0.7 } as const;

/** What a bare blank shows along its middle, a mark or not. */
export const onBareBlank: readonly ClassName[] = ['blank', 'wax'];
/** What belongs to a guide, or could hide one: no mark shows it. */
export const ofGuidesOrHiding: readonly ClassName[] = [
  'tape',
  'thread',
  'frame',
  'ring',
  'wire',
  'tube',
  'grip',
  'other',
];
const onBlankWithoutMark: readonly ClassName[] = ['blank'];
const ofMarksOrHiding: readonly ClassName[] = ['wax', ...ofGuidesOrHiding];

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
