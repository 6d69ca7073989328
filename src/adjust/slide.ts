import type { Estimate } from '../numerics/estimate.ts';
import type { ViewIndex } from '../vision/strip.ts';

/**
 * A lengthwise slide of the rod: in views from `from` on it lies `along` (mm, toward the butt) of where it lay before.
 */
export interface Slide {
  from: ViewIndex;
  along: Estimate;
}

/** What is said to have slid beats its doubt so many times, and is no less than this, mm. */
export const toldSlide = { sure: 3, least: 0.35 } as const;

/** Whether a slide is large enough, and known well enough, to be said: what its doubt may explain is none. */
export const isTold = ({ value, u }: Estimate): boolean =>
  Math.abs(value) >= toldSlide.least && Math.abs(value) > toldSlide.sure * u;

/** What takes a slide back. */
export const undone = ({ from, along: { value, u } }: Slide): Slide => ({ from, along: { value: -value, u } });

/**
 * The slides told before with what is told beside them: together where both are from one view on, with the later word's
 * doubt, and none there where the two together are not told.
 */
export function joinedSlides(before: readonly Slide[], { from, along }: Slide): Slide[] {
  const here = before.find((slide) => slide.from === from);
  const whole = { value: along.value + (here?.along.value ?? 0), u: along.u };
  const others = before.filter((slide) => slide !== here);
  return isTold(whole) ? [...others, { from, along: whole }].sort((a, b) => a.from - b.from) : others;
}
