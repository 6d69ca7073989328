import type { Stretch } from '../../plan/stretch.ts';
import { ofGuidesOrHiding, onBareBlank } from './bare_blank.ts';
import type { ClassGrid, ClassName } from './sighting.ts';
import { cellsIn, shareOf } from './strip_cells.ts';

/** When a band is the builder's mark by its look (held to the painted strips of `band_look.test.ts`). */
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

/** What shows where the axis lies beside the blank. */
const besideBlank: readonly ClassName[] = ['paper', 'shadow'];

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
  const other = shareOf(inBand, ofGuidesOrHiding);
  if (wax > 0 && wax >= marked.wax * other) return 'mark';
  if (!before || !after) return undefined;
  const sides = [before, after];
  if (sides.every((cells) => shareOf(cells, besideBlank) > marked.off)) return 'beside';
  if (shareOf([...inBand, ...before, ...after], ['other']) >= marked.covered) return 'covered';
  const isBare = sides.every((cells) => shareOf(cells, onBareBlank) >= marked.blank);
  return isBare && other === 0 ? 'on-blank' : 'neither';
}

/** This share of paper on a stretch is nothing but paper. */
const paperShare = 0.5;

/** Whether a photo's strip shows paper in the blank's line. False where it does not show all of the stretch. */
export function isPaper(classes: ClassGrid, along: Stretch): boolean {
  const cells = cellsIn(classes, { along, across: { from: 0, to: 0 } }, 0);
  return cells !== undefined && shareOf(cells, ['paper']) >= paperShare;
}
