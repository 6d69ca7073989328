import type { Estimate } from '../numerics/estimate.ts';
import type { ViewIndex } from '../vision/strip.ts';

/**
 * A lengthwise slide of the rod: in views from `from` on it lies `along` (mm, toward the butt) of where it lay before.
 */
export interface Slide {
  from: ViewIndex;
  along: Estimate;
}
