import type { BlankSolution } from '../adjust/blank_adjustment.ts';
import type { BlankByMat } from '../adjust/blank_by_mat.ts';
import type { MatSolution } from '../adjust/mat_summary.ts';
import type { Slide } from '../adjust/slide.ts';
import type { MatDoubt } from '../adjust/propagation.ts';
import type { PlacedViews } from './tagged_views.ts';

/** Everything the photos gave beside the rings and marks themselves. */
export interface Measuring {
  mat: MatSolution;
  blank: BlankSolution;
  doubt: MatDoubt;
  /** how the blank moves with cameras, lens and pages; absent where its photos do not tell */
  blankBy?: BlankByMat | undefined;
  /** relative standard uncertainty of lengths along */
  scale: number;
  views: PlacedViews;
  /** added to an arc length to count as the plan does, mm */
  start: number;
  /**
   * where the rod slid between photos, the later ones' cameras moved along with it, or may have slid; `from` counts
   * views
   */
  slides: readonly Slide[];
}

/** A shadow or a glossy limb shifts both outlines together by this much, mm: no fit can see it. */
export const outlineBias = 0.04;

/**
 * Photos look down on the blank from nearly the same side, so a shift of both outlines turns into a height of the axis
 * that is off by about this much, mm: no fit can see that either. Places and rolls hardly feel it.
 */
export const axisHeightBias = 0.5;

export const degrees = (radians: number): number => (radians * 180) / Math.PI;
