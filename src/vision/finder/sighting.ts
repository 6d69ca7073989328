import type { Stretch } from '../../plan/stretch.ts';
import type { Pixel } from '../../geometry/vector.ts';
import type { ViewIndex } from '../strip.ts';

/**
 * What the finder tells apart at each cell, in the order of the networks' outputs: printed lines and page seams are
 * `line`, a guide's frame and foot `frame`, a snake guide's arch `wire`, a tip-top's tube and frame `tube`.
 */
export const classNames = [
  'paper',
  'blank',
  'shadow',
  'line',
  'grip',
  'tape',
  'thread',
  'wax',
  'frame',
  'ring',
  'wire',
  'tube',
  'other',
  'tag',
] as const;

export type ClassName = (typeof classNames)[number];

/**
 * What lies where, cell by cell: the centre of cell (row, column) is at along `from + column * step` and across
 * `across + row * step` (mm). `classes` holds indices into `classNames`, `certainty` the winner's probability times
 * 255; both rows x columns, row by row. Cells that the photo does not reach have certainty 0.
 */
export interface ClassGrid {
  from: number;
  across: number;
  step: number;
  rows: number;
  columns: number;
  classes: Uint8Array;
  certainty: Uint8Array;
}

/** One photo's view of something with a centre, found without knowing the plan. */
export interface RingSighting {
  /** place in the list of views */
  view: ViewIndex;
  /** `ring`: a guide's ring; `tip-top`: a tip-top's; `snake`: the middle of a wire guide's arch, which has no ring */
  kind: 'ring' | 'tip-top' | 'snake';
  /** how sure, 0 to 1 */
  score: number;
  /**
   * where the line of sight through the centre meets the strip: arc length (mm from the tip end of the blank) and place
   * across (mm off the axis, square to the line of sight, positive to the right as seen from the butt). A centre above
   * the blank shows displaced, differently in each photo.
   */
  along: number;
  across: number;
  /** the centre in the upright photo */
  pixel: Pixel;
  /**
   * the ring's outer radius as the strip shows it, mm (a ring nearer to the camera than the blank shows larger); a
   * snake's half length
   */
  radius: number;
  /** how sure that a foot lies to this side of the centre, 0 to 1 each; both for a double foot */
  footToward: { tip: number; butt: number };
}

/** What one photo shows along the blank. */
export interface StripSeen {
  /** place in the list of views */
  view: ViewIndex;
  /** the stretch of arc length that the photo shows, mm */
  covers: Stretch;
  /** photo pixels per mm in the middle of the stretch */
  pixelsPerMm: number;
  sightings: RingSighting[];
  classes: ClassGrid;
}

/** A place in the mat's lane that looks like the end of the blank. */
export interface TipCandidate {
  /** lane coordinates (see `Lane`), mm, on the paper's plane */
  t: number;
  v: number;
  /** how sure, 0 to 1 */
  score: number;
}

/**
 * What one photo shows in the mat's lane, on the plane of the paper (bench z = 0): in `classes` along is the lane's t
 * and across its v.
 */
export interface LaneSeen {
  view: ViewIndex;
  pixelsPerMm: number;
  tips: TipCandidate[];
  classes: ClassGrid;
}
