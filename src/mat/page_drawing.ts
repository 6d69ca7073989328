import type { PrintedLine, TilePoint } from './tile.ts';

/** A rectangle by its left lower corner, mm. */
export interface Rectangle {
  u: number;
  v: number;
  width: number;
  height: number;
}

/**
 * One thing on a printed page, in the page's frame: origin at its centre, u right, v up, mm. Rectangles of one shape
 * are filled as one, so that no hairline shows between neighbours. Text is Helvetica, ASCII, from its left end on its
 * baseline; `size` is the type's height in mm.
 */
export type Shape =
  | { kind: 'rectangles'; colour: 'black' | 'white'; rectangles: readonly Rectangle[] }
  | { kind: 'lines'; lines: readonly PrintedLine[] }
  | { kind: 'text'; at: TilePoint; size: number; text: string };

/** One page to print, sizes in mm. */
export interface PageDrawing {
  title: string;
  width: number;
  height: number;
  shapes: readonly Shape[];
}
