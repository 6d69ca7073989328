import type { Stretch } from '../../plan/stretch.ts';
import { type ClassGrid, type ClassName, classNames } from './sighting.ts';

/** Where on a photo's strip something would show, mm. */
export interface StripBox {
  along: Stretch;
  /** places across from the axis: `from` to `to` */
  across: Stretch;
}

/** One cell of a strip's classes. */
export interface Cell {
  name: ClassName;
  /** 0 to 1 */
  sure: number;
  onBlank: boolean;
}

/** The cells of a box; undefined where the strip or its photo does not show all of it. */
export function cellsIn(
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

/** The share of cells that are of these classes, 0 to 1. */
export const shareOf = (cells: readonly Cell[], names: readonly ClassName[]): number =>
  cells.filter(({ name }) => names.includes(name)).length / cells.length;
