import type { Load } from './bent_rod.ts';
import type { GuideSide } from './line_run.ts';
import type { Stiffness } from './stiffness.ts';

/** Guides to be placed where the loaded rod needs them; mm from the tip, newtons, degrees. */
export interface BendLayoutCase {
  stiffness: Stiffness;
  clampAt: number;
  load: Load;
  side: GuideSide;
  /** from the blank's surface to the line in each guide, tip to butt, mm */
  lineHeights: readonly number[];
  /** the same in the tip-top */
  tipHeight: number;
  /** where the line leaves the reel: place along the rod, and distance from the blank's axis on the guides' side, mm */
  reel: { at: number; height: number };
  /** held where given, otherwise found */
  first?: number;
  last?: number;
  /** shares of the line's turning, one for each guide from tip to butt; equal when absent */
  shares?: readonly number[];
  /** whether gaps may shrink from tip to butt; they never do when absent */
  gaps?: GapsAllowed;
}

/** `grow`: no gap is shorter than the one nearer the tip. `free`: as the turns ask for. */
export type GapsAllowed = 'grow' | 'free';
