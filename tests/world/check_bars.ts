import { barLength, type PrintedLine, type TilePoint } from '../../src/mat/tile.ts';

const barThickness = 0.4;
const tickLength = 4;

/** A check bar of earlier prints with its two end ticks; the ticks' outer edges are `barLength` apart. */
export interface CheckBar {
  name: 'along' | 'across';
  centre: TilePoint;
  lines: readonly PrintedLine[];
}

const tickOffset = barLength / 2 - barThickness / 2;

/** The bars measured with a rule: along u below the lane's middle, and along v near the page's left edge. */
export const checkBars: { readonly along: CheckBar; readonly across: CheckBar } = {
  along: checkBar('along', [0, -52]),
  across: checkBar('across', [-125, 0]),
};

function checkBar(name: CheckBar['name'], centre: TilePoint): CheckBar {
  // (a, b): along the bar and square to it, from its centre.
  const at = (a: number, b: number): TilePoint =>
    name === 'along' ? [centre[0] + a, centre[1] + b] : [centre[0] + b, centre[1] + a];
  const line = (from: TilePoint, to: TilePoint): PrintedLine => ({ from, to, thickness: barThickness });
  return {
    name,
    centre,
    lines: [
      line(at(-barLength / 2, 0), at(barLength / 2, 0)),
      line(at(-tickOffset, -tickLength / 2), at(-tickOffset, tickLength / 2)),
      line(at(tickOffset, -tickLength / 2), at(tickOffset, tickLength / 2)),
    ],
  };
}
